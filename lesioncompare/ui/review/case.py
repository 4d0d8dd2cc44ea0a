"""What the vet's page is about, and who is looking at it."""

from dataclasses import dataclass
from datetime import date

import streamlit as st

from lesioncompare.report.document import About
from lesioncompare.series import Followed, Taken
from lesioncompare.store import Cat, CatSite, CatSpot
from lesioncompare.ui.dates import local_day, on_day, short_day
from lesioncompare.ui.texts import REVIEW

WHO = "review-who"  # key of the name's field
MARK = "review-mark"  # key of a place pointed at and not yet kept


@dataclass(frozen=True, slots=True, eq=False)
class Case:
    """One spot under review."""

    cat: Cat
    site: CatSite
    spot: CatSpot
    followed: Followed
    about: About

    @property
    def by_id(self) -> dict[str, Taken]:
        """The photos by their id, in order of time."""
        return {taken.photo.id: taken for taken in self.followed.taken}


@dataclass(frozen=True, slots=True)
class Pointed:
    """A place pointed at on a photo, in upright original pixels [px]."""

    photo_id: str
    x: float
    y: float


def who() -> str:
    """The name typed on this page, "" if none."""
    return str(st.session_state.get(WHO, "")).strip()


def ask_who() -> None:
    """The field of the name."""
    st.text_input(REVIEW["who"], key=WHO, max_chars=120, help=REVIEW["who_help"])


def day_of(taken: Taken) -> date:
    """The day a photo was taken."""
    return local_day(taken.reading.photo.taken or taken.visit.began_at)


def label_of(taken: Taken) -> str:
    """Such as "4 Nov 26"."""
    return short_day(day_of(taken))


def long_label(taken: Taken) -> str:
    """Such as "4 November 2026"."""
    return on_day(day_of(taken))


def kept() -> None:
    """Say that something was kept, and show the page anew."""
    st.toast(REVIEW["saved"])
