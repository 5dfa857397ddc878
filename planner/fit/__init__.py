"""What records tell about a business: estimates, how sure they are, and how well they foretell.

In: a scenario, records. Out: ``Fit``. Must not know: files, the terminal.
"""

from __future__ import annotations
