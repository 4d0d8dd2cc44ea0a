"""Everything that is kept: a database, and the original photos beside it."""

from lesioncompare.store.kept import (
    Answer,
    Cat,
    CatSite,
    CatSpot,
    Concern,
    Correction,
    Decision,
    HomeCheck,
    KeptPhoto,
    KeptSeed,
    KeptVisit,
    Normal,
    Note,
    PhotoState,
    PrintCheck,
    Reminder,
    Run,
)
from lesioncompare.store.practice import Practised
from lesioncompare.store.readings import reading_from_json, reading_to_json
from lesioncompare.store.store import Store, open_store
from lesioncompare.store.sunlight import KeptPlace, Outings

__all__ = [
    "Answer",
    "Cat",
    "CatSite",
    "CatSpot",
    "Concern",
    "Correction",
    "Decision",
    "HomeCheck",
    "KeptPhoto",
    "KeptPlace",
    "KeptSeed",
    "KeptVisit",
    "Normal",
    "Note",
    "Outings",
    "PhotoState",
    "Practised",
    "PrintCheck",
    "Reminder",
    "Run",
    "Store",
    "open_store",
    "reading_from_json",
    "reading_to_json",
]
