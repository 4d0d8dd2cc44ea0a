"""The words of a report: a headline made of the findings, and the caution that goes with it."""

from lesioncompare.records import Series

CAUTION = (
    "Measurements of pictures, not a diagnosis. “No change measured” says nothing about health. "
    "A sore that does not heal within days, bleeds, or crusts again, or a spot that is raised, "
    "goes to the vet whatever these numbers say. Only a biopsy tells what a spot is."
)


def headline(series: Series) -> str:
    """Place, dates and every finding in the keeper's words, the most pressing first."""
    site = f"{series.site.keeper}".capitalize() if series.site else "Spot"
    dated = [r.photo.taken for r in series.readings if r.photo.taken]
    span = f", {min(dated).date()} to {max(dated).date()}" if dated else ""
    count = sum(r.usable for r in series.readings)
    lines = [f"{site}{span}: {count} of {len(series.readings)} photos could be used."]
    lines += [f"{finding.says} {finding.do}" for finding in series.findings]
    return "\n".join(lines)
