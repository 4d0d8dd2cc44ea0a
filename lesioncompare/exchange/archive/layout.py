"""What an archive of ours looks like: where files lie, and how large it may be."""

import re

MAX_BYTES = 4 << 30  # [B] unpacked; a year of weekly photos has about 0.3 GB
MAX_FILES = 20_000
MAX_RATIO = 200  # [1] unpacked over packed, for what is over SMALL; text packs to about 1/10
SMALL = 1 << 20  # [B]
BLOCK = 1 << 20  # [B] read at a time
DECLARATION = b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"  # RFC 8493, 2.1.1
MANIFEST, TAG_MANIFEST, INFO = "manifest-sha256.txt", "tagmanifest-sha256.txt", "bag-info.txt"

# Names that every system can hold and none can mistake for a way out of a folder.
PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,99}(/[A-Za-z0-9][A-Za-z0-9._-]{0,99}){0,7}")
