"""The question of the keeper, and everything that can be taken along."""

import io
import zipfile
from functools import partial

import streamlit as st

from lesioncompare.errors import ExchangeError
from lesioncompare.exchange.archive import pack_archive
from lesioncompare.exchange.dicom import is_available
from lesioncompare.exchange.handover import handover_files
from lesioncompare.report.html import as_html
from lesioncompare.report.pdf import as_pdf
from lesioncompare.series.handover import NAME, bag_facts, dicom_of, handover_of
from lesioncompare.series.report import report_of
from lesioncompare.ui.review.case import Case, kept
from lesioncompare.ui.state import store
from lesioncompare.ui.texts import REVIEW


def show_take(case: Case) -> None:
    """The question, and the files; each is made when it is asked for."""
    question = store().concerns.of_site(case.site.id)
    text = st.text_area(REVIEW["question"], value=question, max_chars=1000, key="review-question")
    if st.button(REVIEW["question_save"], disabled=text.strip() == question):
        store().concerns.say(case.site.id, text)
        kept()
        st.rerun()
    st.write(REVIEW["take_intro"])
    papers: dict[str, str] = REVIEW["papers"]
    paper = st.segmented_control(
        REVIEW["paper"], list(papers), default="a4", format_func=papers.__getitem__, required=True
    )
    name, spot_id = f"{case.site.place}", case.spot.id
    with st.container(horizontal=True):
        _file(REVIEW["pdf"], partial(_pdf, spot_id, paper or "a4"), f"{name}.pdf")
        _file(REVIEW["html"], partial(_html, spot_id), f"{name}.html")
        _file(REVIEW["archive"], partial(_archive, case.site.id), f"{name}-series.zip")
        if is_available():
            _file(REVIEW["dicom"], partial(_dicom, spot_id), f"{name}-dicom.zip")
    if not is_available():
        st.caption(REVIEW["dicom_missing"])


def _file(label: str, data: "partial[bytes]", name: str) -> None:
    st.download_button(label, data=data, file_name=name, on_click="ignore")


def _pdf(spot_id: str, paper: str) -> bytes:
    return as_pdf(report_of(store(), spot_id), paper=paper)


def _html(spot_id: str) -> bytes:
    return as_html(report_of(store(), spot_id))


def _archive(site_id: str) -> bytes:
    handover = handover_of(store(), [site_id])
    return pack_archive(handover_files(handover), name=NAME, about=bag_facts(store()))


def _dicom(spot_id: str) -> bytes:
    """The DICOM files in one zip.

    Raises
    ------
    ExchangeError
        When there is no photo to write.
    """
    files = dicom_of(store(), spot_id)
    if not files:
        raise ExchangeError("There is no photo to write.", "Take one first.")
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    return packed.getvalue()
