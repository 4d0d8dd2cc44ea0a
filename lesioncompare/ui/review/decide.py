"""What was decided, noted and found later: only ever added, each with who and when."""

from datetime import timedelta

import streamlit as st

from lesioncompare.errors import StoreError
from lesioncompare.ui.dates import local_day, on_day
from lesioncompare.ui.parts import plain
from lesioncompare.ui.review.case import MARK, Case, Pointed, kept, long_label, who
from lesioncompare.ui.state import store
from lesioncompare.ui.texts import REVIEW

SAMPLES = {"biopsy", "cytology"}  # decisions that have a place on the skin
RECHECK_DAYS = 21  # [days] proposed until the recheck; common practice, no source


def show_decide(case: Case) -> None:
    """A new decision, the result of an earlier one, a note; then all of them."""
    if not who():
        st.write(REVIEW["who_first"])
    _decision(case)
    _result(case)
    _note(case)
    _history(case)


def _decision(case: Case) -> None:
    kinds: dict[str, str] = REVIEW["kinds"]
    kind = st.pills(REVIEW["kind"], list(kinds), format_func=kinds.__getitem__, key="decide-kind")
    due = None
    if kind == "watch":
        today = local_day(store().now())
        soon = today + timedelta(days=RECHECK_DAYS)
        due = st.date_input(REVIEW["due"], value=soon, min_value=today, key="decide-due")
    marked = _mark(case) if kind in SAMPLES else None
    text = st.text_area(REVIEW["words"], max_chars=2000, key="decide-words")
    if st.button(REVIEW["save"], type="primary", disabled=not (kind and who())) and kind:
        store().decisions.add(
            case.site.id,
            kind,
            who=who(),
            text=text,
            due=due,
            spot_id=case.spot.id,
            photo_id=marked.photo_id if marked else None,
            mark_px=(marked.x, marked.y) if marked else None,
        )
        st.session_state.pop(MARK, None)
        for name in ("decide-kind", "decide-words", "decide-due"):
            st.session_state.pop(name, None)
        kept()
        st.rerun()


def _mark(case: Case) -> Pointed | None:
    """The place pointed at on a photo of this spot, if any."""
    marked = st.session_state.get(MARK)
    if not isinstance(marked, Pointed) or marked.photo_id not in case.by_id:
        st.caption(REVIEW["mark_hint"])
        return None
    date = long_label(case.by_id[marked.photo_id])
    st.write(REVIEW["marked"].format(date=date))
    if st.button(REVIEW["unmark"]):
        del st.session_state[MARK]
        st.rerun()
    return marked


def _result(case: Case) -> None:
    made = [d for d in store().decisions.of_site(case.site.id) if d.kind in REVIEW["kinds"]]
    if not made:
        return
    names = {
        d.id: REVIEW["of"].format(kind=REVIEW["kinds"][d.kind], date=on_day(local_day(d.at)))
        for d in made
    }
    with st.expander(REVIEW["result"]):
        of = st.selectbox(
            REVIEW["result_of"], list(names), index=len(names) - 1, format_func=names.__getitem__
        )
        text = st.text_area(REVIEW["result_words"], max_chars=2000, key="result-words")
        if st.button(REVIEW["result_save"], disabled=not (who() and text.strip())):
            store().decisions.add(
                case.site.id, "result", who=who(), text=text, spot_id=case.spot.id, about=of
            )
            st.session_state.pop("result-words", None)
            kept()
            st.rerun()


def _note(case: Case) -> None:
    with st.expander(REVIEW["note"]):
        text = st.text_area(REVIEW["note"], max_chars=2000, key="review-note")
        if st.button(REVIEW["note_save"], disabled=not who()):
            try:
                store().notes.add(case.site.id, text, who=who())
            except StoreError as problem:
                st.error(f"{problem.what} {problem.advice}")
                return
            st.session_state.pop("review-note", None)
            kept()
            st.rerun()


def _history(case: Case) -> None:
    """Everything that was written and decided, the newest first."""
    st.subheader(REVIEW["history"], anchor=False)
    entries = case.about.entries
    for entry in reversed(entries):
        date = on_day(local_day(entry.when))
        line = REVIEW["signed"].format(what=entry.kind, who=plain(entry.who), date=date)
        st.markdown(f"**{line}**  \n{plain(entry.words)}")
    if not entries:
        st.caption(REVIEW["nothing_yet"])
