"""Every sentence the program can say of a photo or a change, in one place."""

from lesioncompare.registry.findings import FINDINGS
from lesioncompare.registry.notices import NOTICES, notice

__all__ = ["FINDINGS", "NOTICES", "notice"]
