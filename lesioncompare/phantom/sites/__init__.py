"""The five parts of the head, each painted by its own module."""

from lesioncompare.phantom.fields import Grid
from lesioncompare.phantom.sites import ear, eyelid, gum, lip, nose
from lesioncompare.phantom.sites.base import Plan, Skin
from lesioncompare.phantom.subject import Subject
from lesioncompare.terms import Part

__all__ = ["Plan", "Skin", "paint", "plan"]

_SITES = {Part.NOSE: nose, Part.EAR: ear, Part.EYELID: eyelid, Part.LIP: lip, Part.GUM: gum}


def paint(subject: Subject, grid: Grid) -> Skin:
    """The layers of the subject's skin on a grid, without spots."""
    return _SITES[subject.site.part].paint(subject, grid)


def plan(subject: Subject) -> Plan:
    """The lie of the subject's site."""
    return _SITES[subject.site.part].plan(subject)
