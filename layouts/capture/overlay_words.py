"""What the log says of set overlays."""

from portal.sealing import words


def register() -> None:
    words.register(
        {"overlays.asked": "{who} had pictures for live view drawn for {subject} (captures {captures}, {size} px)"}
    )
