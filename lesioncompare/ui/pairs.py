"""Two photos of a spot laid over each other on the screen."""

from lesioncompare.series import Followed, Taken, aligned
from lesioncompare.ui.components.divider import Shown, divider
from lesioncompare.ui.dates import local_day, on_day, short_day
from lesioncompare.ui.state import store
from lesioncompare.ui.texts import VISIT


def show_pair(followed: Followed, earlier: Taken, later: Taken, *, key: str) -> bool:
    """The two photos with the divider; False where one could not be laid over the first."""
    if followed.first is None:
        return False
    pictures = [aligned(store(), taken, followed.first) for taken in (earlier, later)]
    shown = []
    for taken, picture in zip((earlier, later), pictures, strict=True):
        if picture is None:
            return False
        day = local_day(taken.reading.photo.taken or taken.visit.began_at)
        site = followed.series.site.keeper if followed.series.site else ""
        alt = VISIT["divided_alt"].format(site=site, date=on_day(day))
        border = None if picture.outline is None else picture.outline.round(1).tolist()
        shown.append(Shown(picture.jpeg, short_day(day), alt, border))
    size = pictures[0]
    if size is None:
        return False
    divider(shown[0], shown[1], key=key, side_px=size.side_px, mm_per_px=size.mm_per_px)
    return True
