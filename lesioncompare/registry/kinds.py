"""What a registered sentence consists of."""

from dataclasses import dataclass

from lesioncompare.terms import Level, Verdict


@dataclass(frozen=True, slots=True)
class NoticeKind:
    """A remark on one photo.

    ``says`` and ``do`` are for the keeper; ``vet`` is for the vet. All may hold ``{name}`` fields.
    """

    key: str
    level: Level
    says: str
    do: str
    vet: str
    rule: str
    source: str


@dataclass(frozen=True, slots=True)
class FindingKind:
    """A statement on a series, with what else it could be.

    ``verdict`` is the word for a visit that it heads; None where its level is the word.
    """

    key: str
    level: Level
    says: str
    do: str
    vet: str
    could_be: tuple[str, ...]
    rule: str
    source: str
    verdict: Verdict | None = None
