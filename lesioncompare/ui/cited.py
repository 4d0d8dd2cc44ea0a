"""Claims on the screen, each with the number of its source, and the sources at the end."""

from collections.abc import Iterable
from dataclasses import dataclass, field

import streamlit as st

from lesioncompare.claims import CLAIMS
from lesioncompare.ui.parts import plain
from lesioncompare.ui.texts import CITED


@dataclass(slots=True)
class Cited:
    """The sources named so far on this screen, in order."""

    sources: list[str] = field(default_factory=list)

    def mark(self, source: str) -> str:
        """The number of a source, new ones at the end."""
        if source not in self.sources:
            self.sources.append(source)
        return f"\\[{self.sources.index(source) + 1}\\]"

    def say(self, key: str, *, strong: bool = False) -> None:
        """One claim as a paragraph."""
        st.markdown(self._words(key, strong=strong))

    def list(self, keys: Iterable[str]) -> None:
        """Claims as a list."""
        st.markdown("\n".join(f"- {self._words(key)}" for key in keys))

    def foot(self) -> None:
        """The sources by number; what has none says so."""
        if self.sources:
            with st.expander(CITED["title"]):
                lines = (f"{n}. {plain(s)}" for n, s in enumerate(self.sources, start=1))
                st.markdown("\n".join(lines))

    def _words(self, key: str, *, strong: bool = False) -> str:
        claim = CLAIMS[key]
        said = plain(claim.says)
        return f"{f'**{said}**' if strong else said} {self.mark(claim.source)}"
