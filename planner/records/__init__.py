"""What an owner wrote down: tables of melts, sales, pickups and more, as they are kept, read and cleaned.

In: a folder of CSV files or a spreadsheet. Out: ``Records``. Must not know: what is estimated from them.
"""

from __future__ import annotations
