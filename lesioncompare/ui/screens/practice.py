"""Practice for the eye: pairs and weeks to judge, one's own curve, a class, and paper."""

from collections.abc import Callable

import streamlit as st

from lesioncompare.store import Practised
from lesioncompare.teach.practice.album import CHANGED, NEVER, SAME, Item, pairs, series
from lesioncompare.teach.practice.score import next_item
from lesioncompare.teach.practice.words import measured_words, truth_words
from lesioncompare.ui.cited import Cited
from lesioncompare.ui.parts import head, plain
from lesioncompare.ui.practice_results import show_class, show_eye, show_pair, show_score
from lesioncompare.ui.state import store
from lesioncompare.ui.texts import PRACTICE

WEEK_PX = 130  # [px] narrowest photo; two beside each other on a phone


def page() -> None:
    """Who, what, and then one of the parts."""
    head(PRACTICE["title"])
    cited = Cited()
    who = st.text_input(
        PRACTICE["who"], max_chars=40, help=PRACTICE["who_help"], key="practice-who"
    ).strip()
    part = st.segmented_control(
        PRACTICE["part"],
        list(PRACTICE["parts"]),
        format_func=PRACTICE["parts"].__getitem__,
        default="pairs",
        required=True,
        key="practice-part",
        width="stretch",
    )
    given = store().practice.this_round(who=who)
    if part == "pairs":
        st.write(PRACTICE["intro"])
        play(pairs(), given, who, ask_pair)
    elif part == "series":
        play(series(), given, who, ask_series)
    elif part == "eye":
        show_eye([(a.item, a.said) for a in given], PRACTICE["you"], cited)
    else:
        show_class(cited)
    cited.say("practice_only")
    cited.foot()


def play(
    items: tuple[Item, ...],
    given: list[Practised],
    who: str,
    ask: Callable[[Item, str], None],
) -> None:
    """The item last answered with its truth, or the next one to judge."""
    answered = {a.item: a.said for a in given}
    shown = st.session_state.get("practice-shown")
    item = next((i for i in items if i.key == shown and i.key in answered), None)
    if item is not None:
        number = sum(i.key in answered for i in items)
        show_photos(item, number, len(items))
        show_truth(item, answered[item.key])
        if st.button(PRACTICE["next"], type="primary", width="stretch"):
            del st.session_state["practice-shown"]
            st.rerun()
        return
    following = next_item(items, answered, who)
    if following is None:
        st.write(f"**{PRACTICE['all_done']}** {PRACTICE['again']}")
        show_score(items, [(a.item, a.said) for a in given])
        return
    number = sum(i.key in answered for i in items) + 1
    show_photos(following, number, len(items))
    ask(following, who)


def show_photos(item: Item, number: int, count: int) -> None:
    """The photos of an item beside each other."""
    words = PRACTICE["count"] if item.is_pair else PRACTICE["count_series"]
    st.caption(words.format(number=number, count=count, level=PRACTICE["levels"][item.level]))
    if item.is_pair:
        show_pair(item)
        return
    with st.grid(min_column_width=WEEK_PX):
        for week, photo in enumerate(item.photos, start=1):
            with st.container():
                st.image(
                    photo.read_bytes(),
                    caption=PRACTICE["week"].format(number=week),
                    alt=PRACTICE["week_alt"].format(number=week),
                    width="stretch",
                )


def ask_pair(item: Item, who: str) -> None:
    """Same or changed."""
    with st.container(horizontal=True):
        for said in (SAME, CHANGED):
            if st.button(PRACTICE[said], key=f"say-{said}", width="stretch"):
                keep(item, said, who)


def ask_series(item: Item, who: str) -> None:
    """From which week on, or never."""
    weeks = [str(n) for n in range(1, len(item.photos))]
    said = st.pills(
        PRACTICE["when"],
        [*weeks, NEVER],
        format_func=lambda s: (
            PRACTICE["never"] if s == NEVER else PRACTICE["week"].format(number=int(s) + 1)
        ),
        key=f"when-{item.key}",
    )
    if st.button(PRACTICE["answer"], disabled=said is None, width="stretch") and said is not None:
        keep(item, said, who)


def keep(item: Item, said: str, who: str) -> None:
    """Keep an answer and show the truth."""
    store().practice.add(item.key, said, who=who)
    st.session_state["practice-shown"] = item.key
    st.rerun()


def show_truth(item: Item, said: str) -> None:
    """What truly happened, and what the program made of the same photos."""
    with st.container(border=True):
        st.subheader(PRACTICE["right" if said == item.truth else "wrong"], anchor=False)
        words = truth_words(item)
        if item.begins is not None and not item.is_pair:
            words = PRACTICE["truth_begins"].format(week=item.begins + 1, words=words)
        st.markdown(plain(PRACTICE["truth"].format(words=words)))
        if not item.tool_says:
            st.write(PRACTICE["tool_none"])
        else:
            key = "tool_right" if item.tool_says == item.truth else "tool_wrong"
            st.markdown(plain(PRACTICE[key].format(said=spoken(item.tool_says))))
        for number in range(len(item.measured)):
            line = measured_words(item, number)
            if not item.is_pair:
                line = PRACTICE["measured_week"].format(week=number + 2, words=line)
            st.markdown(plain(line))


def spoken(said: str) -> str:
    """An answer in words."""
    if said in PRACTICE["said"]:
        return str(PRACTICE["said"][said])
    return str(PRACTICE["said_week"]).format(week=int(said) + 1)


page()
