"""Acts on accounts: they belong to no campaign, so no campaign's log tells of them."""

from allauth.account.models import EmailAddress
from django.db import IntegrityError, transaction

from portal.people.models import User


class AccountExists(Exception):
    """The address has an account already: its owner must sign in before joining."""


@transaction.atomic
def make_account(email: str, *, name: str = "", password: str | None = None, starts_campaigns: bool = False) -> User:
    """Make an account whose address is known to be its owner's. Raises ValidationError, AccountExists."""
    user = User(email=email.strip().lower(), name=" ".join(name.split()), starts_campaigns=starts_campaigns)
    user.set_password(password)
    user.full_clean(validate_unique=False, validate_constraints=False)
    try:
        with transaction.atomic():
            user.save()
    except IntegrityError as taken:
        raise AccountExists from taken
    EmailAddress.objects.create(user=user, email=user.email, verified=True, primary=True)
    return user


@transaction.atomic
def settle_account(
    email: str, *, name: str = "", password: str | None = None, starts_campaigns: bool = False
) -> tuple[User, bool]:
    """Make the account, or give one that exists what is said here; nothing is taken from it. Raises ValidationError."""
    user = User.objects.select_for_update().filter(email=email.strip().lower()).first()
    if user is None:
        return make_account(email, name=name, password=password, starts_campaigns=starts_campaigns), True
    user.name = name or user.name
    user.starts_campaigns = starts_campaigns or user.starts_campaigns
    if password is not None:
        user.set_password(password)
    user.full_clean()
    user.save()
    return user, False


@transaction.atomic
def rename(by: User, *, name: str) -> None:
    """Change one's own name, in every campaign; what was signed or logged keeps the old one. Raises ValidationError."""
    by.name = " ".join(name.split())
    by.full_clean(exclude=["password"])
    by.save(update_fields=["name"])
