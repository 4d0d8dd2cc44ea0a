"""What practice shows: how many were right, the smallest growth an eye finds, and a class."""

import streamlit as st

from lesioncompare.science.psychometric import Curve
from lesioncompare.store import Practised
from lesioncompare.teach.practice.album import CHANGED, Item, pairs
from lesioncompare.teach.practice.handout import SETS, handout
from lesioncompare.teach.practice.score import right, right_by_level, tally, tool_answers
from lesioncompare.teach.practice.words import truth_words
from lesioncompare.ui.cited import Cited
from lesioncompare.ui.parts import plain
from lesioncompare.ui.practice_chart import percent, show_curves
from lesioncompare.ui.state import store
from lesioncompare.ui.texts import PRACTICE

HARDEST = 3  # pairs shown of a class


def show_score(items: tuple[Item, ...], given: list[tuple[str, str]]) -> None:
    """How many were right, by level, and the program's count on the same."""
    had, count = right(items, given)
    if not count:
        return
    st.write(f"**{PRACTICE['score'].format(right=had, count=count)}**")
    lines = (
        PRACTICE["score_level"].format(level=PRACTICE["levels"][level], right=r, count=n)
        for level, (r, n) in right_by_level(items, given).items()
    )
    st.markdown("\n".join(f"- {line}" for line in lines))
    judged = {key for key, _ in given}
    mine = [(key, said) for key, said in tool_answers(items) if key in judged]
    had, count = right(items, mine)
    st.write(PRACTICE["score_tool"].format(right=had, count=count))


def show_eye(given: list[tuple[str, str]], who: str, cited: Cited) -> None:
    """The curve of an eye, or of a class, beside the program's."""
    show_score(pairs(), given)
    eye, tool = tally(pairs(), given), tally(pairs(), tool_answers(pairs()))
    if not eye.enough:
        st.write(PRACTICE["eye_few"])
        return
    st.markdown(f"**{plain(curve_words(eye.curve(), 'eye'))}**")
    st.markdown(plain(curve_words(tool.curve(), "tool")))
    show_curves(eye, tool, who)
    cited.say("eye_errs")


def curve_words(curve: Curve | None, whose: str) -> str:
    """What half of the time is called changed, with its interval, and the false alarms."""
    if curve is None or curve.half is None or curve.half < 0:
        return str(PRACTICE["eye_none" if whose == "eye" else "tool_unknown"])
    interval = ""
    if curve.low is not None and curve.high is not None:
        low, high = percent(max(curve.low, 0)), percent(curve.high)
        interval = PRACTICE["eye_interval"].format(low=f"{low:.0f}", high=f"{high:.0f}")
    growth, false = percent(curve.half), 100 * float(curve.share(0))
    return str(PRACTICE[whose]).format(
        growth=f"{growth:.0f}", interval=interval, false=f"{false:.0f}"
    )


def show_class(cited: Cited) -> None:
    """Everybody of this round together, the hardest pairs, a new round, and paper."""
    st.subheader(PRACTICE["class_title"], anchor=False)
    found = store().practice.this_round()
    if found:
        people = len({a.who for a in found})
        st.write(PRACTICE["class_people"].format(people=people, answers=len(found)))
        show_eye([(a.item, a.said) for a in found], PRACTICE["class_you"], cited)
        show_hardest(found)
    else:
        st.write(PRACTICE["class_none"])
    if st.button(PRACTICE["round"]):
        store().practice.begin_round()
        st.rerun()
    st.caption(PRACTICE["round_note"])
    st.subheader(PRACTICE["handout"], anchor=False)
    st.write(PRACTICE["handout_intro"])
    number = st.segmented_control(
        PRACTICE["set"], list(range(1, SETS + 1)), default=1, required=True, key="practice-set"
    )
    st.download_button(
        PRACTICE["download"].format(number=number),
        data=lambda: handout(number or 1),
        file_name=f"lesioncompare-practice-{number}.pdf",
        mime="application/pdf",
        on_click="ignore",
        width="stretch",
    )


def show_hardest(found: list[Practised]) -> None:
    """The pairs that most people got wrong."""
    rows = []
    for item in pairs():
        said = [a.said for a in found if a.item == item.key]
        if said:
            wrong = sum(s != item.truth for s in said) / len(said)
            changed = 100 * sum(s == CHANGED for s in said) / len(said)
            rows.append((wrong, changed, item))
    hardest = sorted((row for row in rows if row[0] > 0), key=lambda row: -row[0])[:HARDEST]
    if hardest:
        st.subheader(PRACTICE["class_hard"], anchor=False)
        for _, changed, item in hardest:
            show_pair(item)
            words = PRACTICE["class_pair"].format(share=f"{changed:.0f}", truth=truth_words(item))
            st.markdown(plain(words))


def show_pair(item: Item) -> None:
    """The two photos of a pair beside each other."""
    with st.container(horizontal=True, wrap=False, key=f"pair-{item.key}"):  # see style.css
        for photo, when in zip(item.photos, ("first", "later"), strict=True):
            alt = PRACTICE[f"{when}_alt"]
            st.image(photo.read_bytes(), caption=PRACTICE[when], alt=alt, width="stretch")
