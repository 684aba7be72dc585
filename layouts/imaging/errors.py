"""What this room raises when a file cannot be used."""


class Refused(ValueError):
    """A file cannot be used. `sentence` says what is wrong and what to do, in the words of who sent it."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence
