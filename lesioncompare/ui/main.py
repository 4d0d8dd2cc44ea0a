"""The screens and their addresses."""

from pathlib import Path

import streamlit as st

from lesioncompare.errors import LesionCompareError
from lesioncompare.ui.texts import COMMON, GUIDE, HABIT, HOME, PRACTICE, STICKERS, SUN, VET

FOLDER = Path(__file__).parent / "screens"  # a folder named pages would be run without this file
STYLE = Path(__file__).parent / "style.css"
SCREENS = {  # file in screens/ -> title; the file's name is the address
    "home": HOME["title"],
    "cat": COMMON["app"],
    "site": COMMON["app"],
    "visit": COMMON["app"],
    "history": COMMON["app"],
    "stickers": STICKERS["title"],
    "guide": GUIDE["title"],
    "vet": VET["title"],
    "sun": SUN["title"],
    "which_cats": COMMON["app"],
    "practice": PRACTICE["title"],
    "home_check": COMMON["app"],
    "reminder": HABIT["title"],
}


def main() -> None:
    """Run the screen the address names."""
    st.set_page_config(page_title=COMMON["app"], layout="centered")
    screens = [
        st.Page(FOLDER / f"{name}.py", title=title, url_path=name, default=name == "home")
        for name, title in SCREENS.items()
    ]
    screen = st.navigation(screens, position="hidden")
    st.html(STYLE)
    try:
        screen.run()
    except LesionCompareError as problem:
        st.title(COMMON["went_wrong"], anchor=False)
        st.write(f"{problem.what} {problem.advice}")


main()
