"""The outing planner: when the cat is out, and what changing that does to its share of the UV."""

from datetime import time, timedelta
from functools import partial

import streamlit as st

from lesioncompare.store import Cat
from lesioncompare.teach.day import SunDay
from lesioncompare.teach.outings import Choice, Outing, choices, parse_outing, share_of
from lesioncompare.ui.parts import plain
from lesioncompare.ui.state import store
from lesioncompare.ui.texts import SUN

USUAL = (time(12), time(14))  # where a new outing begins; people move it
STEP = timedelta(minutes=15)
MOST = 6  # [outings] a day
HARDLY = 0.005  # [1] a share that shows as 0 %
SHIFTS_H = (-3, -1, 1, 3)  # [h] moves that are shown


def outings_of(cat: Cat | None) -> list[Outing]:
    """The outings of a cat, or those typed in this session when there is no cat."""
    if cat is None:
        spans = st.session_state.get("outings", ())
    else:
        kept = store().outings.of_cat(cat.id)
        spans = kept.spans if kept else ()
    return [parse_outing("-".join(span)) for span in spans]


def edit_outings(cat: Cat | None, outings: list[Outing]) -> None:
    """A slider for each outing; moving one keeps it."""
    whose = cat.id if cat else "nobody"
    if not outings:
        st.write(SUN["outings_none"])
    for number, outing in enumerate(outings):
        key = f"out-{whose}-{number}-{len(outings)}"
        st.slider(
            SUN["outing"].format(number=number + 1),
            min_value=time(0),
            max_value=time(23, 45),
            value=(outing.start, outing.end),
            step=STEP,
            format="HH:mm",
            key=key,
            on_change=partial(_move, cat, number, key),
        )
        if st.button(
            f"{SUN['remove']} {number + 1}", key=f"drop-{key}", on_click=partial(_drop, cat, number)
        ):
            st.rerun()
    st.button(SUN["add"], on_click=partial(_add, cat), disabled=len(outings) >= MOST)


def show_shares(day: SunDay, outings: list[Outing]) -> None:
    """What each outing takes of the day's UV, and what could be changed."""
    now = share_of(day, outings)
    for number, outing in enumerate(outings):
        share = day.share(day.between(outing.start, outing.end))
        st.markdown(f"**{plain(SUN['share'].format(span=span_of(outing), share=part(share)))}**")
        if share < HARDLY:
            st.write(SUN["hardly"])
            continue
        better = [c for c in _worth_showing(choices(day, outings, number)) if c.share < now]
        st.markdown("\n".join(f"- {plain(_words(c, now))}" for c in better))
    if len(outings) > 1:
        st.write(SUN["all_share"].format(share=part(now)))


def part(share: float) -> str:
    """Such as "23 %"."""
    return f"{100 * share:.0f} %"


def span_of(outing: Outing) -> str:
    """Such as "12:00 to 14:00"."""
    return f"{outing.start:%H:%M}–{outing.end:%H:%M}"


def _worth_showing(found: list[Choice]) -> list[Choice]:
    """Some moves to either side and the better half, the smallest share first."""
    moves = [c for c in found if c.what == "moved" and c.hours in SHIFTS_H]
    halves = [c for c in found if c.what != "moved"]
    return sorted([*moves, *halves[:1]], key=lambda choice: choice.share)


def _words(choice: Choice, now: float) -> str:
    span, share = span_of(choice.outing), part(choice.share)
    facts = {"span": span, "share": share, "now": part(now)}
    if choice.what != "moved":
        return str(SUN[choice.what]).format(**facts)
    words = SUN["later"] if choice.hours > 0 else SUN["earlier"]
    return str(words).format(hours=f"{abs(choice.hours):g}", **facts)


def _keep(cat: Cat | None, outings: list[Outing]) -> None:
    spans = [(f"{o.start:%H:%M}", f"{o.end:%H:%M}") for o in outings]
    if cat is None:
        st.session_state["outings"] = spans
    else:
        store().outings.set(cat.id, spans)


def _move(cat: Cat | None, number: int, key: str) -> None:
    outings = outings_of(cat)
    start, end = st.session_state[key]
    if start < end:
        outings[number] = Outing(start, end)
        _keep(cat, outings)


def _drop(cat: Cat | None, number: int) -> None:
    outings = outings_of(cat)
    del outings[number]
    _keep(cat, outings)


def _add(cat: Cat | None) -> None:
    _keep(cat, [*outings_of(cat), Outing(*USUAL)])
