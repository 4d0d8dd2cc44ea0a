"""Everything about some sites of the store, ready to be handed over in one archive."""

from collections.abc import Iterator, Mapping, Sequence

from lesioncompare import __version__
from lesioncompare.exchange.dicom import Animal, dicom_files
from lesioncompare.exchange.handover import Handover
from lesioncompare.report.html import as_html
from lesioncompare.report.pdf import as_pdf
from lesioncompare.series.follow import follow_spot
from lesioncompare.series.pictures import display_copy
from lesioncompare.series.report import report_of
from lesioncompare.store import KeptPhoto, Store

NAME = "lesioncompare-series"  # of the folder in an archive


class Photos(Mapping[str, bytes]):
    """Bytes of the photos of some sites by SHA-256, read when they are asked for."""

    def __init__(self, store: Store, kept: Sequence[KeptPhoto]) -> None:
        self._store = store
        self._ids = {photo.sha256: photo.id for photo in kept}

    def __getitem__(self, sha256: str) -> bytes:
        return self._store.photos.data(self._ids[sha256])

    def __iter__(self) -> Iterator[str]:
        return iter(self._ids)

    def __len__(self) -> int:
        return len(self._ids)


def photos_of(store: Store, site_ids: Sequence[str]) -> list[KeptPhoto]:
    """Every photo of some sites whose visit was finished or begun, removed ones included."""
    visits = [row["id"] for row in store.rows_of_sites(site_ids)["visit"]]
    return [p for visit in visits for p in store.photos.of_visit(visit, removed=True)]


def handover_of(store: Store, site_ids: Sequence[str]) -> Handover:
    """Rows, photos, display copies, series and reports of some sites."""
    kept = photos_of(store, site_ids)
    series, reports = {}, {}
    for name, spot_id in spot_folders(store, site_ids).items():
        followed = follow_spot(store, spot_id)
        series[name] = followed.series
        document = report_of(store, spot_id)
        reports[f"{name}.pdf"] = as_pdf(document)
        reports[f"{name}.html"] = as_html(document)
    return Handover(
        rows=store.rows_of_sites(site_ids),
        photos=Photos(store, kept),
        series=series,
        displays={photo.sha256: display_copy(store, photo).jpeg for photo in kept},
        reports=reports,
    )


def spot_folders(store: Store, site_ids: Sequence[str]) -> dict[str, str]:
    """Spot ids by a plain name for a folder, such as "nose-1"; typed names are not in it."""
    folders = {}
    for site_id in site_ids:
        place = store.sites.get(site_id).place
        for spot in store.spots.of_site(site_id):
            number = 1
            while f"{place}-{number}" in folders:
                number += 1
            folders[f"{place}-{number}"] = spot.id
    return folders


def bag_facts(store: Store) -> dict[str, str]:
    """What stands in the archive's own description (RFC 8493, 2.2.2)."""
    return {
        "Bagging-Date": store.now().date().isoformat(),
        "Bag-Software-Agent": f"lesioncompare {__version__}",
    }


def dicom_of(store: Store, spot_id: str) -> dict[str, bytes]:
    """The DICOM objects of one spot by file name.

    Raises
    ------
    ExchangeError
        When the optional part for it is not installed.
    """
    spot = store.spots.get(spot_id)
    site = store.sites.get(spot.site_id)
    cat = store.cats.get(site.cat_id)
    followed = follow_spot(store, spot_id)
    photos = Photos(store, [t.photo for t in followed.taken if t.counts])
    animal = Animal(id=cat.id, name=cat.name, neutered=cat.neutered)
    return dicom_files(followed.series, photos, animal, spot=spot.id, now=store.now())
