"""What worker processes share: imported once, where they are divided from (`api/commands/workers.py`).

No thread runs and nothing is open when that is done: neither outlives a division. Collecting garbage while
modules are made takes a fifth of the time; what is shared is never looked through, so that no worker gets a
copy of it by looking.
"""

import gc

gc.disable()

from api.settings import from_environment  # noqa: E402  # see above
from kb.desk.bay.search import search_memory  # noqa: E402
from web import app  # noqa: E402, F401

_process = from_environment()
search_memory.read_ahead(_process.shop_url, _process.data_folder)
gc.collect()
gc.freeze()
gc.enable()
