"""The five parts of the head, each painted by its own module."""

from dataclasses import replace

from lesioncompare.phantom.fields import Grid
from lesioncompare.phantom.sites import ear, eyelid, gum, lip, nose
from lesioncompare.phantom.sites.base import Plan, Skin
from lesioncompare.phantom.subject import Subject
from lesioncompare.terms import Part

__all__ = ["Plan", "Skin", "paint", "plan"]

_SITES = {Part.NOSE: nose, Part.EAR: ear, Part.EYELID: eyelid, Part.LIP: lip, Part.GUM: gum}


def paint(subject: Subject, grid: Grid) -> Skin:
    """The layers of the subject's skin on a grid, without spots."""
    skin = _SITES[subject.site.part].paint(subject, grid)
    return replace(skin, gloss=skin.gloss * subject.wet)


def plan(subject: Subject) -> Plan:
    """The lie of the subject's site."""
    return _SITES[subject.site.part].plan(subject)
