"""Statements on a series: what changed, what to do, and what else it could be."""

from lesioncompare.registry.kinds import FindingKind

FINDINGS: dict[str, FindingKind] = {}
