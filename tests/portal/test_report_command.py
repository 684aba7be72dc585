"""Protects the shape of every command that computes: one JSON object, exit statuses, one sentence on refusal."""

import json

import pytest
from django.core.management import call_command

from portal.management.report import ReportCommand, Unusable


class Halve(ReportCommand):
    """Halves a number: odd numbers must be fixed, negative ones cannot be used."""

    refusals = (ArithmeticError,)

    def takes(self, parser):
        parser.add_argument("number", type=int)

    def compute(self, options):
        if options["number"] < 0:
            raise Unusable(f"The number {options['number']} is negative:\ngive one from 0.")
        if options["number"] == 13:
            raise ArithmeticError("13 is refused.")
        if options["number"] == 404:
            raise FileNotFoundError(2, "No such file or directory", "there.json")
        return {"half": options["number"] / 2}

    def words(self, result):
        return f"Half of it is {result['half']}."

    def must_fix(self, result):
        return result["half"] != int(result["half"])


def run(capsys, *args):
    with pytest.raises(SystemExit) as ended:
        Halve().run_from_argv(["manage.py", "halve", *args])
    out, err = capsys.readouterr()
    return ended.value.code, out, err


@pytest.mark.parametrize(("number", "status"), [("4", 0), ("5", 1)])
def test_json_is_one_object_and_nothing_else(capsys, number, status):
    code, out, err = run(capsys, number, "--json")
    assert (code, json.loads(out), err) == (status, {"half": int(number) / 2}, "")


def test_without_json_a_report_is_printed(capsys):
    assert run(capsys, "4") == (0, "Half of it is 2.0.\n", "")


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (["--", "-1"], "The number -1 is negative: give one from 0.\n"),
        (["13"], "13 is refused.\n"),
        (["404"], "there.json cannot be opened: no such file or directory.\n"),
        (["many"], "Argument number: invalid int value: 'many'; see --help.\n"),
        ([], "The following arguments are required: number; see --help.\n"),
    ],
)
def test_what_cannot_be_used_is_one_sentence_and_status_2(capsys, args, says):
    assert run(capsys, *args) == (2, "", says)


def test_it_can_be_called_from_code(capsys):
    with pytest.raises(SystemExit) as ended:
        call_command(Halve(), "4", json=True)
    assert ended.value.code == 0
