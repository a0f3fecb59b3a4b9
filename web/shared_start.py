"""What worker processes share: imported once, where they are divided from (`api/commands/workers.py`).

The index is read beside the imports: half of that is a checksum, which another processor can do. No thread
runs and nothing is open when all is done: neither outlives a division. Collecting garbage while modules are
made takes a fifth of the time; what is shared is never looked through, so that no worker gets a copy of it by
looking.
"""

import gc

gc.disable()

from threading import Thread  # noqa: E402  # see above

from api.settings import from_environment  # noqa: E402
from kb.desk.bay.search import search_memory  # noqa: E402

_process = from_environment()
_beside = Thread(target=search_memory.read_ahead, args=(_process.shop_url, _process.data_folder))
_beside.start()

from api.app import routes as _of_the_interface  # noqa: E402
from web.app import routes as _of_pages  # noqa: E402

_of_the_interface()
_of_pages()
_beside.join()
gc.freeze()
gc.enable()
