"""Help: how to take the photo, what the program cannot see, and when to stop and go."""

import streamlit as st

from lesioncompare.claims import CLAIMS
from lesioncompare.ui.parts import caution, drawing, head, plain
from lesioncompare.ui.state import link, store
from lesioncompare.ui.texts import GUIDE, STICKERS


def page() -> None:
    """When to go comes first: it matters most."""
    head(GUIDE["title"])
    st.header(GUIDE["go"], anchor=False)
    bullets(GUIDE["go_list"])
    st.write(CLAIMS["in_doubt"].says)
    st.header(GUIDE["how"], anchor=False)
    for name, words in GUIDE["how_steps"].items():
        drawing(name, GUIDE["alts"][name])
        st.write(plain(words))
    st.markdown(f"**{GUIDE['stop_if']}**")
    link(STICKERS["title"], "stickers")
    st.header(GUIDE["cannot"], anchor=False)
    bullets(GUIDE["cannot_list"])
    st.header(GUIDE["trust"], anchor=False)
    st.write(GUIDE["trust_text"])
    st.header(GUIDE["privacy"], anchor=False)
    st.write(GUIDE["privacy_text"].format(folder=plain(str(store().home))))
    caution()


def bullets(words: tuple[str, ...]) -> None:
    """A plain list."""
    st.markdown("\n".join(f"- {line}" for line in words))


page()
