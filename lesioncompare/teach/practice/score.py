"""What answers tell of an eye: how many were right, and the smallest growth it finds."""

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from lesioncompare.science.psychometric import Curve, fit_curve
from lesioncompare.teach.practice.album import CHANGED, SAME, Item
from lesioncompare.teach.practice.cases import EASY, FAIR, MEAN
from lesioncompare.teach.practice.cases import SIZE as GROWTH

LEVELS = (EASY, FAIR, MEAN)
LEAST_STILL, LEAST_GROWN = 3, 6  # [answers] before a curve is drawn; common practice, no source
DECIMALS = 3  # [1] log ratios that agree to this count as one size


@dataclass(frozen=True, slots=True)
class Tally:
    """How often "changed" was said of spots that grew by some factor, or stayed: ascending sizes.

    ``sizes`` are log area ratios, 0 for spots that stayed [1].
    """

    sizes: tuple[float, ...]
    said: tuple[int, ...]
    asked: tuple[int, ...]

    @property
    def enough(self) -> bool:
        """True when a curve can be drawn through it."""
        counts = zip(self.sizes, self.asked, strict=True)
        still = sum(n for size, n in counts if size == 0)
        return still >= LEAST_STILL and sum(self.asked) - still >= LEAST_GROWN

    def curve(self) -> Curve | None:
        """The psychometric curve; None before there are enough answers."""
        return fit_curve(self.sizes, self.said, self.asked) if self.enough else None


def tally(pairs: Sequence[Item], answers: Iterable[tuple[str, str]]) -> Tally:
    """Answers (key of the pair, what was said) counted by how much the spot grew.

    Only pairs that grew or stayed count: other kinds of change have no size on the same scale.
    """
    known = {pair.key: pair for pair in pairs if pair.kind in {GROWTH, SAME}}
    counts: dict[float, list[int]] = {}
    for key, said in answers:
        if key in known:
            pair = known[key]
            size = 0.0 if pair.kind == SAME else round(pair.size, DECIMALS)
            count = counts.setdefault(size, [0, 0])
            count[0] += said == CHANGED
            count[1] += 1
    sizes = sorted(counts)
    return Tally(
        tuple(sizes), tuple(counts[s][0] for s in sizes), tuple(counts[s][1] for s in sizes)
    )


def tool_answers(items: Sequence[Item]) -> list[tuple[str, str]]:
    """What the program said of each item that it could read."""
    return [(item.key, item.tool_says) for item in items if item.tool_says]


def right(items: Sequence[Item], answers: Iterable[tuple[str, str]]) -> tuple[int, int]:
    """How many answers were right, and how many there were."""
    truth = {item.key: item.truth for item in items}
    given = [said == truth[key] for key, said in answers if key in truth]
    return sum(given), len(given)


def right_by_level(
    items: Sequence[Item], answers: Sequence[tuple[str, str]]
) -> Mapping[str, tuple[int, int]]:
    """The same for each level that has answers."""
    counts = {level: right([i for i in items if i.level == level], answers) for level in LEVELS}
    return {level: count for level, count in counts.items() if count[1]}


def next_item(items: Sequence[Item], answered: Iterable[str], who: str) -> Item | None:
    """The next item for a person: from easy to mean, in an order of the person's own."""
    done = set(answered)
    left = [item for item in items if item.key not in done]
    return min(left, key=lambda i: (LEVELS.index(i.level), _draw(who, i.key)), default=None)


def shares(tallied: Tally) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Share of "changed" by size [1]."""
    return np.asarray(tallied.said, float) / np.asarray(tallied.asked, float)


def _draw(who: str, key: str) -> str:
    return hashlib.sha256(f"{who}/{key}".encode()).hexdigest()
