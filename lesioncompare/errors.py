"""What cannot go on, in two sentences: what happened, and what to do next."""


class LesionCompareError(Exception):
    """The work cannot go on.

    Parameters
    ----------
    what
        One sentence: what is wrong.
    advice
        One sentence: what to do next.
    """

    def __init__(self, what: str, advice: str) -> None:
        super().__init__(f"{what} {advice}")
        self.what = what
        self.advice = advice


class PhotoError(LesionCompareError):
    """The bytes are not a photo that can be read."""


class StickerError(LesionCompareError):
    """The reference sticker cannot be found or trusted."""


class SeedError(LesionCompareError):
    """The circle round the spot does not lie on skin in the photo."""


class AlignError(LesionCompareError):
    """The photo cannot be laid over the first one: another place, or too little bare skin."""


class OutlineError(LesionCompareError):
    """No border can be drawn round the spot."""


class SettingsError(LesionCompareError):
    """A setting is unknown or out of range."""


class StoreError(LesionCompareError):
    """The store cannot be read or written."""


class ExchangeError(LesionCompareError):
    """A file from outside is damaged, unsafe or not ours."""
