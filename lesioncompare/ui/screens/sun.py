"""Sun: the strong hours of a day at a place, what outings take of them, and the year."""

from collections.abc import Sequence
from datetime import date

import streamlit as st

from lesioncompare.errors import SettingsError
from lesioncompare.science.sun import PROTECT_FROM, category, reported
from lesioncompare.store import Cat, KeptPlace
from lesioncompare.teach.cities import cities, city_name
from lesioncompare.teach.day import CUSTOM, Span, SunDay, sun_day
from lesioncompare.teach.place import Place
from lesioncompare.teach.year import SunYear, sun_year
from lesioncompare.ui.cited import Cited
from lesioncompare.ui.dates import local_day, on_day
from lesioncompare.ui.outings import edit_outings, outings_of, part, show_shares
from lesioncompare.ui.parts import head, plain
from lesioncompare.ui.state import asked_id, link, store
from lesioncompare.ui.sun_charts import show_day, show_year
from lesioncompare.ui.texts import SUN

ALL_YEAR = 51  # [weeks] of 53 with a UV index of 3 or more


def page() -> None:
    """Place and day, then what they mean."""
    head(SUN["title"])
    st.write(SUN["intro"])
    place = choose_place()
    if place is None:
        st.stop()
    day = st.date_input(
        SUN["date"], value=local_day(store().now()), format="YYYY-MM-DD", key="sun-date"
    )
    if not isinstance(day, date):
        st.stop()
    cited = Cited()
    seen = sun_day(place, day)
    cat = choose_cat()
    outings = outings_of(cat)
    sentences = describe(seen)
    show_day(seen, outings, " ".join(sentences))
    for sentence in sentences:
        st.write(sentence)
    cited.say("uv_three", strong=True)
    cited.list(("clear_sky", "shadow", "ten_to_four"))
    st.caption(assumed(place, day))

    st.header(SUN["outings"], anchor=False)
    edit_outings(cat, outings)
    show_shares(seen, outings)
    cited.say("no_minutes")

    st.header(SUN["helps"], anchor=False)
    cited.list(("indoors", "shade", "cream", "tattoo", "bright_ground", "high_up"))
    st.header(SUN["window"], anchor=False)
    cited.list(("sill", "film"))

    st.header(SUN["year"], anchor=False)
    year = sun_year(place, day.year)
    said = describe_year(year)
    st.write(f"{said} {SUN['year_intro']}")
    show_year(year, said)
    if cat is not None:
        link(SUN["which"], "which_cats", cat=cat.id)
    cited.foot()


def choose_place() -> Place | None:
    """The place that is kept, or a newly chosen one; None before there is any."""
    kept = store().places.latest()
    zones = list(cities())
    known = zones.index(kept.zone) if kept is not None and kept.zone in zones else None
    zone = st.selectbox(
        SUN["city"],
        zones,
        index=known,
        format_func=city_name,
        placeholder=SUN["choose"],
        help=SUN["city_help"],
        key="sun-city",
    )
    if zone is not None and (kept is None or zone != kept.zone):
        kept = store().places.set(*cities()[zone], zone)
    if kept is None:
        return None
    return by_hand(kept)


def by_hand(kept: KeptPlace) -> Place | None:
    """The kept place, which can be typed more exactly."""
    with st.expander(SUN["exact"]):
        key = f"{kept.id}"
        latitude = st.number_input(SUN["latitude"], -90, 90, int(kept.latitude), key=f"lat-{key}")
        longitude = st.number_input(
            SUN["longitude"], -180, 180, int(kept.longitude), key=f"lon-{key}"
        )
        altitude = st.number_input(
            SUN["altitude"], -400, 6000, int(kept.altitude_m), step=100, key=f"alt-{key}"
        )
        if st.button(SUN["save"], width="stretch"):
            store().places.set(latitude, longitude, kept.zone, altitude_m=altitude)
            st.rerun()
    try:
        return Place(kept.latitude, kept.longitude, kept.zone, kept.altitude_m)
    except SettingsError as problem:
        st.error(f"{problem.what} {problem.advice}")
        return None


def choose_cat() -> Cat | None:
    """Whose outings: the cat of the address, or the first; None without a cat."""
    cats = store().cats.all()
    if not cats:
        return None
    asked = next((cat for cat in cats if cat.id == asked_id("cat")), cats[0])
    if len(cats) == 1:
        return asked
    return st.pills(
        SUN["outings_whose"],
        cats,
        format_func=lambda cat: plain(cat.name),
        default=asked,
        required=True,
        key="sun-cat",
    )


def describe(seen: SunDay) -> list[str]:
    """What the day holds, in sentences."""
    if not seen.daylight:
        return [SUN["no_sun"]]
    peak = SUN["peak"].format(
        peak=reported(seen.peak), word=category(seen.peak), noon=f"{seen.noon:%H:%M}"
    )
    strong, short = SUN["strong_none"], SUN["shadow_none"]
    if seen.strong:
        strong = f"{SUN['strong'].format(spans=spoken(seen.strong))}."
    if seen.short_shadow:
        short = f"{SUN['shadow'].format(spans=spoken(seen.short_shadow))}."
    found = [SUN["all_day"]] if (seen.elevation_deg > 0).all() else []
    found += [f"{strong} {peak}", short]
    return [*found, custom_words(seen)] if seen.strong else found


def custom_words(seen: SunDay) -> str:
    """How far the customary hours fit this day."""
    custom = seen.between(*CUSTOM)
    strong = seen.index >= PROTECT_FROM
    words = [SUN["custom"].format(share=part(seen.share(custom)))]
    for key, where in (("custom_misses", strong & ~custom), ("custom_more", custom & ~strong)):
        if where.any():
            words.append(SUN[key].format(spans=spoken(seen.spans(where))))
    return " ".join(words)


def describe_year(year: SunYear) -> str:
    """When in the year the UV index reaches 3."""
    strong = set(year.strong_days)
    if not strong:
        return str(SUN["year_never"])
    if len(strong) >= ALL_YEAR:
        return str(SUN["year_around"])
    weak = [day for day in year.days if day not in strong]
    if year.days[0] in strong and year.days[-1] in strong:
        return str(SUN["year_turned"]).format(first=month_day(weak[0]), last=month_day(weak[-1]))
    days = sorted(strong)
    return str(SUN["year_strong"]).format(first=month_day(days[0]), last=month_day(days[-1]))


def month_day(day: date) -> str:
    """Such as "4 November"."""
    return on_day(day).rsplit(" ", 1)[0]


def spoken(spans: Sequence[Span]) -> str:
    """Such as "10:11 to 18:22"."""
    return ", ".join(f"{a:%H:%M} to {b:%H:%M}" for a, b in spans)


def assumed(place: Place, day: date) -> str:
    """What was assumed of the air."""
    return str(SUN["assumed"]).format(
        ozone=f"{place.ozone_on(day):.0f}", source=SUN["ozone_source"]
    )


page()
