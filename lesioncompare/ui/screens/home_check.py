"""The look from nose to tail: filled in while stroking, kept with every touch."""

from datetime import date
from functools import partial

import streamlit as st

from lesioncompare.registry.home_check import SIGNS, STATIONS, Sign, Station
from lesioncompare.store import Cat, HomeCheck
from lesioncompare.teach.home_check import (
    ADVICE,
    OTHER,
    TODAY,
    Found,
    Look,
    Told,
    differences,
    from_entries,
)
from lesioncompare.ui.cited import Cited
from lesioncompare.ui.dates import from_today, local_day, on_day
from lesioncompare.ui.parts import head, plain
from lesioncompare.ui.state import asked_cat, store
from lesioncompare.ui.texts import HOME_CHECK, LEVELS

DO = "what-to-do"  # where on the screen it is summed up
MOST_WORDS = 200  # [characters]


def page() -> None:
    """Today's look, place by place, then what differs and what to do."""
    cat = asked_cat()
    head(HOME_CHECK["title"].format(name=plain(cat.name)), cat)
    today = local_day(store().now())
    checks = store().home_checks.of_cat(cat.id)
    earlier = [check for check in checks if check.day < today.isoformat()]
    present = next((check for check in checks if check.day == today.isoformat()), None)
    look = from_entries(present.entries) if present else Look()
    cited = Cited()
    lead(look, cited)
    st.write(HOME_CHECK["intro"])
    show_last(earlier, today)
    cited.say("stop", strong=True)
    normals = store().home_checks.normals(cat.id)
    for station in STATIONS.values():
        show_station(cat, station, look, normals.get(station.key, ""), cited)
    sum_up(look, earlier, cited)
    show_earlier(earlier)
    cited.foot()


def lead(look: Look, cited: Cited) -> None:
    """What presses most, before everything else, with the way to the rest of it."""
    if look.asks:
        with st.container(border=True, gap=None):
            cited.say(next(iter(look.asks)), strong=True)
            st.markdown(f"[{HOME_CHECK['sum_up']}](#{DO})")


def show_last(earlier: list[HomeCheck], today: date) -> None:
    """When the last look was."""
    if not earlier:
        st.write(HOME_CHECK["first"])
        return
    day = date.fromisoformat(earlier[-1].day)
    st.write(HOME_CHECK["last"].format(when=from_today(day, today), date=on_day(day)))


def show_station(cat: Cat, station: Station, look: Look, normal: str, cited: Cited) -> None:
    """One place: how, what is normal, what was found, and at once what that asks for."""
    found = look.found.get(station.key)
    key = f"{cat.id}-{station.key}"
    with st.container(border=True):
        st.subheader(station.name, anchor=False)
        st.write(station.how)
        if station.caution:
            cited.say(station.caution, strong=True)
        if normal:
            known = HOME_CHECK["normal_known"].format(name=cat.name, text=normal)
            st.markdown(f"*{plain(known)}*")
        keep = partial(keep_station, cat, station.key, key)
        said = st.segmented_control(
            station.name,
            list(HOME_CHECK["said"]),
            format_func=HOME_CHECK["said"].__getitem__,
            default=found.said if found else None,
            key=f"said-{key}",
            label_visibility="collapsed",
            width="stretch",
            on_change=keep,
        )
        if said == OTHER:
            show_signs(station, found or Found(OTHER), key, keep, cited)
            remember(cat, station, normal, key)


def show_signs(
    station: Station, found: Found, key: str, keep: "partial[None]", cited: Cited
) -> None:
    """What is different there, in given words and in the keeper's own."""
    chosen = st.pills(
        HOME_CHECK["which"],
        [sign.key for sign in station.signs],
        selection_mode="multi",
        format_func=lambda sign: SIGNS[sign].words,
        default=list(found.signs),
        key=f"signs-{key}",
        on_change=keep,
    )
    pressing = sorted((SIGNS[s] for s in chosen), key=_order)
    for sign in pressing:
        show_advice(sign, cited)
    if not chosen and station.unnamed in TODAY:
        cited.say(station.unnamed, strong=True)
    st.text_input(
        HOME_CHECK["words"],
        value=found.words,
        max_chars=MOST_WORDS,
        key=f"words-{key}",
        on_change=keep,
    )


def show_advice(sign: Sign, cited: Cited) -> None:
    """What one sign asks for, with the source of its weight."""
    st.markdown(f"**{LEVELS[sign.level]}:** {plain(sign.words)} {cited.mark(sign.source)}")


def remember(cat: Cat, station: Station, normal: str, key: str) -> None:
    """What is normal there for this cat, to be shown each time."""
    with st.expander(HOME_CHECK["normal"].format(name=plain(cat.name))):
        text = st.text_input(
            HOME_CHECK["normal"].format(name=plain(cat.name)),
            value=normal,
            max_chars=MOST_WORDS,
            help=HOME_CHECK["normal_help"],
            key=f"normal-{key}",
        )
        if st.button(HOME_CHECK["normal_save"], key=f"remember-{key}", width="stretch"):
            store().home_checks.set_normal(cat.id, station.key, text)
            st.rerun()


def keep_station(cat: Cat, station: str, key: str) -> None:
    """Keep what is shown of one place, on top of what is kept of the others today."""
    today = local_day(store().now())
    kept = {check.day: check for check in store().home_checks.of_cat(cat.id)}
    present = kept.get(today.isoformat())
    found = dict(from_entries(present.entries).found) if present else {}
    said = st.session_state.get(f"said-{key}")
    if said is None:
        found.pop(station, None)
    else:
        signs = tuple(st.session_state.get(f"signs-{key}") or ()) if said == OTHER else ()
        words = str(st.session_state.get(f"words-{key}") or "") if said == OTHER else ""
        found[station] = Found(said, signs, words)
    store().home_checks.add(cat.id, today, Look(found).to_entries())


def sum_up(look: Look, earlier: list[HomeCheck], cited: Cited) -> None:
    """What differs from last time, and what to do, the most pressing first."""
    if not look.found:
        return
    st.header(HOME_CHECK["differs"], anchor=False)
    found = differences(look, [from_entries(check.entries) for check in earlier])
    if earlier:
        day = on_day(date.fromisoformat(earlier[-1].day))
        for one in found:
            for key, signs in (("new", one.new), ("still", one.still), ("gone", one.gone)):
                if signs:
                    words = "; ".join(sign.words for sign in signs)
                    line = HOME_CHECK[key].format(date=day, signs=words)
                    st.markdown(f"**{STATIONS[one.station].name}.** {plain(line)}")
        if not found:
            st.write(HOME_CHECK["nothing_differs"])
    else:
        st.write(HOME_CHECK["first"])
    st.header(HOME_CHECK["sum_up"], anchor=DO)
    for claim, told in look.asks.items():
        cited.say(claim, strong=True)
        st.markdown("\n".join(f"- {plain(named(one))}" for one in told))
    if not look.asks:
        st.write(HOME_CHECK["no_sign"])
    cited.say("nothing_found")


def named(one: Told) -> str:
    """What differs, with the place it belongs to."""
    words = one.words or HOME_CHECK["said"][OTHER]
    return str(HOME_CHECK["sign"]).format(station=one.station.name, words=words)


def show_earlier(earlier: list[HomeCheck]) -> None:
    """The looks before, newest first."""
    if not earlier:
        return
    with st.expander(HOME_CHECK["earlier"]):
        for check in reversed(earlier):
            look = from_entries(check.entries)
            own = [one.words for one in look.found.values() if one.words and one.signs]
            signs = "; ".join([*(named(t) for told in look.asks.values() for t in told), *own])
            day = on_day(date.fromisoformat(check.day))
            line = HOME_CHECK["one_earlier"].format(
                date=day, signs=signs or HOME_CHECK["none_marked"]
            )
            st.markdown(f"- {plain(line)}")


def _order(sign: Sign) -> int:
    return list(ADVICE).index(sign.level)


page()
