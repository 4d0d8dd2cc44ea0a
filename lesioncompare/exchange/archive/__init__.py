"""A hand-over archive: a bag (RFC 8493) in one zip file.

Reading trusts nothing. The whole file is checked before a byte of it is given out: names are plain,
sizes are within limits, every file is listed with its SHA-256 and every listed file is there. One
fault refuses all of it. Nothing is ever unpacked under a name from inside.
"""

from lesioncompare.exchange.archive.reading import Archive, open_archive
from lesioncompare.exchange.archive.writing import pack_archive, write_archive

__all__ = ["Archive", "open_archive", "pack_archive", "write_archive"]
