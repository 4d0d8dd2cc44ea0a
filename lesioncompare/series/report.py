"""The report of a stored spot: its series, what people said of it, and its aligned photos."""

from dataclasses import replace

from lesioncompare.report.album import MOST, SIDE_PX, Album, frame_of, is_laid, thinned
from lesioncompare.report.compose import compose
from lesioncompare.report.document import About, Document, Entry
from lesioncompare.report.pictures import window_round
from lesioncompare.series.follow import Followed, Taken, follow_spot
from lesioncompare.series.marks import place_on_picture
from lesioncompare.series.pictures import aligned
from lesioncompare.store import Cat, Decision, KeptPhoto, Store

PROGRAM = "the program"  # who left a photo out, where it was nobody
NEVER = "It was never measured: its sticker or the spot was not found on it."
LEFT_OUT = {"excluded": "left out", "removed": "deleted", "used": "used again"}
SAID = {
    "corrected": "border corrected by hand",
    "accepted": "border accepted",
    "rejected": "border rejected",
    "automatic": "the program’s own border taken again",
}
DECIDED = {
    "watch": "watch and recheck",
    "treat": "treat",
    "cytology": "cytology",
    "biopsy": "biopsy",
    "referral": "referral",
    "result": "result",
}  # kinds of decisions in words


def report_of(store: Store, spot_id: str) -> Document:
    """The report of one spot, as of now."""
    followed = follow_spot(store, spot_id)
    return compose(followed.series, about(store, followed), album(store, followed))


def album(store: Store, followed: Followed, *, most: int = MOST) -> Album | None:
    """The aligned photos of a series, thinned evenly; None where none could be aligned."""
    first = followed.first
    laid = [t for t in followed.taken if t.counts and is_laid(t.reading)]
    if first is None or first.reading.circle is None or not laid:
        return None
    window = window_round(first.reading, SIDE_PX)
    marked = _marked(store, followed, first)
    frames = []
    for taken in thinned(laid, most):
        picture = aligned(store, taken, first, side_px=SIDE_PX)
        if picture is not None:
            frame = frame_of(taken.reading, picture.jpeg, window, followed.series)
            shown = marked is not None and taken in {laid[-1], marked[0]}
            frames.append(replace(frame, mark=marked[1]) if marked and shown else frame)
    return Album(tuple(frames), SIDE_PX, window.mm_per_px)


def _marked(
    store: Store, followed: Followed, first: Taken
) -> tuple[Taken, tuple[float, float]] | None:
    """The photo of the last decision that marked a place, and where that is on the picture.

    Aligned pictures share one frame, so the place is the same on each of them.
    """
    by_id = {taken.photo.id: taken for taken in followed.taken}
    for decision in reversed(store.decisions.of_site(store.spots.get(followed.spot_id).site_id)):
        taken = by_id.get(decision.photo_id or "")
        if taken is not None and decision.x is not None and decision.y is not None:
            at = place_on_picture(taken, first, (decision.x, decision.y), SIDE_PX)
            return None if at is None else (taken, at)
    return None


def about(store: Store, followed: Followed) -> About:
    """What was said and decided about a spot, and whom it is about."""
    spot = store.spots.get(followed.spot_id)
    site = store.sites.get(spot.site_id)
    cat = store.cats.get(site.cat_id)
    runs = [taken.run for taken in followed.taken]
    entries = [*_notes(store, site.id), *_decisions(store, site.id), *_borders(store, followed)]
    return About(
        cat=cat.name,
        spot=spot.name,
        made=store.now(),
        particulars=particulars(cat, store.now().year),
        question=store.concerns.of_site(site.id),
        entries=tuple(sorted(entries, key=lambda entry: entry.when)),
        settings=runs[-1].settings_digest if runs else "",
        simulated=cat.simulated,
        left_out=tuple(_left_out(store, site.id, spot.id)),
        unmeasured=followed.unmeasured,
    )


def particulars(cat: Cat, year: int) -> tuple[str, ...]:
    """What is known of a cat in a year, in words, in a vet's order; nothing of what is not."""
    words = []
    if cat.birth_year is not None:
        words.append(f"about {year - cat.birth_year} y (born {cat.birth_year})")
    if cat.neutered is not None:
        words.append("neutered" if cat.neutered else "not neutered")
    if cat.coat_colour:
        pattern = f", {cat.coat_pattern}" if cat.coat_pattern else ""
        words.append(f"{cat.coat_colour}{pattern} coat")
    if cat.outdoor_hours is not None:
        words.append(f"{cat.outdoor_hours:g} h a day outdoors")
    return tuple(words)


def _notes(store: Store, site_id: str) -> list[Entry]:
    return [Entry(n.at, n.who, "note", n.text) for n in store.notes.of_site(site_id)]


def _decisions(store: Store, site_id: str) -> list[Entry]:
    kept = store.decisions.of_site(site_id)
    by_id = {decision.id: decision for decision in kept}
    return [Entry(d.at, d.who, DECIDED[d.kind], _words(d, by_id)) for d in kept]


def _words(decision: Decision, by_id: dict[str, Decision]) -> str:
    words = [decision.text] if decision.text else []
    earlier = by_id.get(decision.decision_id or "")
    if earlier is not None:
        words.insert(0, f"of the {DECIDED[earlier.kind]} of {earlier.at.date().isoformat()}")
    if decision.due:
        words.append(f"recheck on {decision.due}")
    if decision.x is not None and decision.y is not None:
        words.append("place marked on the photo")
    return "; ".join(words)


def _borders(store: Store, followed: Followed) -> list[Entry]:
    """What people said of borders."""
    days = {taken.photo.id: _day(taken) for taken in followed.taken}
    return [
        Entry(word.at, word.who, SAID[word.kind], f"Photo of {day}. {word.reason}".strip())
        for word in store.corrections.of_spot(followed.spot_id)
        if (day := days.get(word.photo_id)) is not None
    ]


def _day(taken: Taken) -> str:
    when = taken.reading.photo.taken or taken.visit.began_at
    return when.date().isoformat()


def _left_out(store: Store, site_id: str, spot_id: str) -> list[Entry]:
    """Every photo that is left out now or was never measured, by whom, when and why."""
    kept = store.photos.of_site(site_id)
    finished = [visit.id for visit in store.visits.of_site(site_id)]
    photos: list[KeptPhoto] = [p for visit in finished for p in kept.get(visit, [])]
    measured = store.runs.photos_of_spot(spot_id)
    found = []
    for photo in photos:
        day = photo.taken.date().isoformat() if photo.taken else photo.name
        if photo.state == "used":
            if photo.id not in measured:
                found.append(Entry(photo.added_at, PROGRAM, f"photo of {day}", NEVER))
            continue
        last = store.photos.states(photo.id)[-1]
        found.append(
            Entry(last.at, last.who, f"photo of {day}", last.reason or LEFT_OUT[last.state])
        )
    return found
