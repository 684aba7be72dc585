"""Commands that compute: numbers in, one JSON object or a short report out, with no database and no campaign.

Exit status 0: done; 1: done, and something must be fixed; 2: the input cannot be used, and one sentence on standard
error says why.
"""

import json
import sys
from typing import Any, NoReturn

from django.core.management.base import BaseCommand, CommandParser


class Unusable(Exception):
    """The input cannot be used; its text is one sentence that says what is wrong, and where."""


class OneSentenceParser(CommandParser):
    """A parser that answers a wrong command line with a sentence alone, in place of the usage."""

    def error(self, message: str) -> NoReturn:
        sys.stderr.write(f"{message[0].upper()}{message[1:]}; see --help.\n")
        sys.exit(2)


class ReportCommand(BaseCommand):
    """A computation by itself. A subclass says what it takes (`takes`), what it gives (`compute`), how that reads
    (`words`) and whether something in it must be fixed (`must_fix`)."""

    requires_system_checks = ()

    # What `compute` may raise for input that cannot be used, besides Unusable and a file that cannot be opened.
    refusals: tuple[type[Exception], ...] = ()

    def takes(self, parser: CommandParser) -> None:
        """Add the command's own arguments."""
        raise NotImplementedError

    def compute(self, options: dict[str, Any]) -> dict[str, Any]:
        """The result as plain data: what is unknown is None. Raises Unusable, OSError or one of `refusals`."""
        raise NotImplementedError

    def words(self, result: dict[str, Any]) -> str:
        """The result as a short readable report."""
        raise NotImplementedError

    def must_fix(self, result: dict[str, Any]) -> bool:
        """Whether something in the result must be fixed."""
        return False

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        parser = super().create_parser(prog_name, subcommand, **kwargs)
        parser.__class__ = OneSentenceParser
        return parser

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
        self.takes(parser)

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            result = self.compute(options)
        except OSError as error:
            self._refuse(f"{error.filename or 'The file'} cannot be opened: {(error.strerror or str(error)).lower()}.")
        except Unusable as reason:
            self._refuse(str(reason))
        except self.refusals as reason:
            self._refuse(str(reason))
        text = json.dumps(result, ensure_ascii=False, allow_nan=False) if options["json"] else self.words(result)
        self.stdout.write(text)
        sys.exit(1 if self.must_fix(result) else 0)

    def _refuse(self, sentence: str) -> NoReturn:
        self.stderr.style_func = None
        self.stderr.write(" ".join(sentence.split()))
        sys.exit(2)
