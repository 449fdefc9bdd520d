"""The overview of an audit: one page that says where the trouble is, and stays usable at 100,000 files."""

from .page import up_to_date, write_overview

__all__ = ["up_to_date", "write_overview"]
