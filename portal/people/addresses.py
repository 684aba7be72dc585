"""Reading names and e-mail addresses that people paste: one person a line."""

from email.utils import parseaddr
from typing import NamedTuple

from django.core.exceptions import ValidationError
from django.core.validators import validate_email

MOST = 50


class Person(NamedTuple):
    """Somebody to invite; the name may be empty, the address is in lower case."""

    name: str
    email: str


def read_people(text: str) -> list[Person]:
    """The people named in `text`, one a line: "Name <address>", "Name address", "address, Name" or the address alone.

    Raises ValidationError with one sentence for every line that cannot be read, for one said twice, for none and for
    more than MOST.
    """
    people: dict[str, Person] = {}
    wrong = []
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip():
            continue
        person = _read_line(line)
        if person is None:
            wrong.append(f"Line {number}, “{line.strip()[:80]}”, has no e-mail address that mail could reach.")
        elif person.email in people:
            wrong.append(f"Line {number} names {person.email} a second time.")
        else:
            people[person.email] = person
    if wrong:
        raise ValidationError(wrong)
    if not people:
        raise ValidationError("Write at least one e-mail address, one person a line.")
    if len(people) > MOST:
        raise ValidationError(f"That is {len(people)} people. Invite at most {MOST} at a time.")
    return list(people.values())


def _read_line(line: str) -> Person | None:
    line = line.strip().strip(",;")
    name, email = parseaddr(line) if "<" in line else _split(line)
    email = email.strip().lower()
    try:
        validate_email(email)
    except ValidationError:
        return None
    return Person(" ".join(name.split()).strip("\"',;"), email) if len(email) <= 254 and len(name) <= 120 else None


def _split(line: str) -> tuple[str, str]:
    words = line.replace(",", " ").replace(";", " ").replace("\t", " ").split()
    addresses = [word for word in words if "@" in word]
    if len(addresses) != 1:
        return "", ""
    return " ".join(word for word in words if word != addresses[0]), addresses[0]
