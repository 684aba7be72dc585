"""Protects canonical JSON and SHA-256 against the standards' own examples."""

import json
import math
import struct
from pathlib import Path

import pytest

from portal.record.canonical import canonical, digest

# RFC 8785's own test data, published with it (cyberphone/json-canonicalization, testdata/): P. The output's
# characters are written as escapes where they would not be seen.
EXAMPLES = {
    "french": (
        '{"peach": "This sorting order", "péché": "is wrong according to French", '
        '"pêche": "but canonicalization MUST", "sin": "ingnore locale"}',
        '{"peach":"This sorting order","péché":"is wrong according to French",'
        '"pêche":"but canonicalization MUST","sin":"ingnore locale"}',
    ),
    "structures": (
        '{"1": {"f": {"f": "hi", "F": 5}, "\\n": 56.0}, "10": {}, "": "empty", "a": {}, "111": [{}], "A": {}}',
        '{"":"empty","1":{"\\n":56,"f":{"F":5,"f":"hi"}},"10":{},"111":[{}],"A":{},"a":{}}',
    ),
    # RFC 8785, section 3.2.2 and 3.2.3: the example of the text
    "values": (
        '{"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001], '
        '"string": "\\u20ac$\\u000F\\u000aA\'\\u0042\\u0022\\u005c\\\\\\"\\/", "literals": [null, true, false]}',
        '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
        '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}',
    ),
    "weird": (
        '{"\\u20ac": "Euro Sign", "1": "One", "\\u0080": "Control\\u007f", "\\ud83d\\ude02": "Smiley", '
        '"\\u00f6": "Latin Small Letter O With Diaeresis", "\\ufb33": "Hebrew Letter Dalet With Dagesh", '
        '"</script>": "Browser Challenge"}',
        '{"1":"One","</script>":"Browser Challenge","\x80":"Control\x7f",'
        '"ö":"Latin Small Letter O With Diaeresis","€":"Euro Sign","\U0001f602":"Smiley",'
        '"\ufb33":"Hebrew Letter Dalet With Dagesh"}',
    ),
}


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_examples_of_rfc_8785(name):
    given, expected = EXAMPLES[name]
    assert canonical(json.loads(given)) == expected.encode()


@pytest.mark.parametrize(
    ("spelling", "expected"),
    [
        ("ingnore locale", "7b46dab8b872302e65108eb2881bfa8964fe32221d5b509bd7c9e323775ba4f9"),  # as published
        ("ignore locale", "d99d0ebdcb0033cb858cfa830ae46bc0fb3309413b271f1da828c89901a27ed5"),
    ],
)
def test_the_french_example_has_the_digest_of_another_implementation(spelling, expected):
    """R: SHA-256 of the reference library's canonical form, with the example's spelling and with it put right."""
    given, _ = EXAMPLES["french"]
    assert digest(canonical(json.loads(given.replace("ingnore locale", spelling)))) == expected


@pytest.mark.parametrize(
    ("bits", "text"),
    [
        line.split()
        for line in (Path(__file__).parent / "rfc8785_numbers.txt").read_text().splitlines()
        if line[0] != "#"
    ],
)
def test_numbers_are_written_as_in_rfc_8785_appendix_b(bits, text):
    (number,) = struct.unpack(">d", bytes.fromhex(bits))
    assert canonical(number) == text.encode()
    assert canonical({"at": [number]}) == b'{"at":[' + text.encode() + b"]}"


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf, 2**53, -(2**53)])
def test_what_has_no_form_is_refused(number):
    """P: RFC 8785, 3.2.2.3 for NaN and Infinity; integers as I-JSON has them, RFC 7493, 2.2: within 2^53 - 1."""
    with pytest.raises(ValueError, match="cannot be put in the brief"):
        canonical({"n": number})


@pytest.mark.parametrize("value", [{1: "a key that is no string"}, {"a": object()}, {"a": {1, 2}}])
def test_what_is_not_json_is_refused(value):
    with pytest.raises(ValueError, match="cannot be put in the brief"):
        canonical(value)


@pytest.mark.parametrize(
    ("message", "expected"),
    [
        # P: FIPS 180-4 examples (NIST, "SHA256.pdf"): one block, two blocks
        (b"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
        (
            b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
        ),
        # P: the empty message
        (b"", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"),
        # P: FIPS 180-2, B.3: a million times "a"; value from memory, agrees with two implementations
        (b"a" * 1_000_000, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"),
    ],
)
def test_sha_256_of_fips_180_4(message, expected):
    assert digest(message) == expected
