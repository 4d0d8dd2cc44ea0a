"""What the keeper felt, saw and smelt: an alarming answer does not wait for a photo."""

from collections.abc import Sequence

from lesioncompare.records import Finding, Visit
from lesioncompare.registry.findings import finding
from lesioncompare.registry.questions import QUESTIONS
from lesioncompare.review.latest import standing
from lesioncompare.terms import Level, Site

KEYS = {Level.NOW: "hands_on_now", Level.SHOW: "hands_on_show"}


def hands_on(site: Site | None, visits: Sequence[Visit]) -> list[Finding]:
    """One finding for each question whose standing answer is alarming."""
    part = site.part if site is not None else None
    found = []
    for key, question in QUESTIONS.items():
        index, answer = standing([visit.answers.get(key) or None for visit in visits]) or (0, "")
        level = question.level_of(answer, part)
        if level is not None:
            evidence: dict[str, float | str] = {
                "question": key,
                "answer": answer,
                "told": question.told,
                "vet": question.vet,
            }
            found.append(finding(KEYS[level], index, evidence))
    return found
