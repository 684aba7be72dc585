"""What this room raises when a file cannot be used, and what it says of the commonest reason."""

import struct
import zlib

# What libraries raise of a file that is not as it should be.
BROKEN = (OSError, SyntaxError, ValueError, LookupError, TypeError, ArithmeticError, EOFError, zlib.error, struct.error)
CUT_OFF = "This file is damaged or was cut off on the way: its pixels cannot be read to the end. Send it again."


class Refused(ValueError):
    """A file cannot be used. `sentence` says what is wrong and what to do, in the words of who sent it."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence
