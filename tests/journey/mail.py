"""The mail folder of the embedded default, read as its owner would."""

import email
import email.policy
import re
from email.message import EmailMessage
from pathlib import Path

from tests.services import wait_for


def folder(env: dict[str, str]) -> Path:
    return Path(env["BRIEFLOCK_DATA"]) / "mail"


def mails(env: dict[str, str], to: str = "") -> list[EmailMessage]:
    """All mail, or that to one address, oldest first. Django's file backend ends each with a line of dashes."""
    found = []
    for path in sorted(folder(env).glob("*.log"), key=lambda path: path.stat().st_mtime_ns):
        for text in path.read_text(encoding="utf-8").split("\n" + "-" * 79 + "\n"):
            if text.strip():
                message = email.message_from_string(text, policy=email.policy.default)
                found += [message] if not to or to in message["To"] else []
    return found


def text_of(message: EmailMessage) -> str:
    return message.get_content()


def _last(env: dict[str, str], to: str, pattern: str) -> str:
    """What `pattern` finds in the newest mail to `to` that has it, waited for."""
    found: list[str] = []

    def came() -> bool:
        found[:] = [match[1] for message in mails(env, to) if (match := re.search(pattern, text_of(message), re.M))]
        return bool(found)

    wait_for(came, f"mail to {to}")
    return found[-1]


def invitation_link(env: dict[str, str], to: str) -> str:
    return _last(env, to, r"(http://\S+/join/\S+)")


def code(env: dict[str, str], to: str) -> str:
    """The code to sign in, as it stands in the newest mail."""
    return _last(env, to, r"^    (\S.*\S)\s*$")
