"""A container file: the program in a picture of its own, the shop's data outside of it."""

from __future__ import annotations

from api.service import Installed

_FILE = """\
# Beforeflash in a container. Read this first; lines that begin with # are for you.
#
# To build and start it, in the folder of the program (the one with pyproject.toml):
#   beforeflash service container > Containerfile
#   docker build --file Containerfile --tag beforeflash .
#   docker volume create beforeflash-data
#   docker run --detach --name beforeflash --restart unless-stopped --publish {port}:8000 \\
#     --volume beforeflash-data:/data --read-only --tmpfs /tmp --cap-drop ALL \\
#     --security-opt no-new-privileges beforeflash
#   docker logs beforeflash
# The last line shows the set-up code of a new shop's first owner, once. (podman takes the same words.)
#
# Data: the volume beforeflash-data, in the container /data, holds the shop (shop.db) and its backups. It
#   stays when the container goes. {moving}
# Backup: a copy is made there every night. A broken disk takes it along: once a week save one elsewhere
#   (Shop -> Backups, or: docker exec beforeflash beforeflash backup /data/copy.db, then docker cp).
# Restore: docker stop beforeflash, then
#   docker run --rm --volume beforeflash-data:/data beforeflash beforeflash restore /data/copy.db
#   then docker start beforeflash. The old shop is kept beside it.
# Upgrade: build the new version as above, docker rm --force beforeflash, docker run as above. Before it
#   changes tables it makes a backup. To go back, run the old version's picture and restore that backup.
# Is it well? docker exec beforeflash beforeflash doctor
FROM python:3.12-slim
RUN useradd --uid 10001 --no-create-home --home-dir /data --shell /usr/sbin/nologin beforeflash \\
 && mkdir /data && chown beforeflash /data && chmod 700 /data
COPY . /program
RUN pip install --no-cache-dir --no-deps -r /program/.locked/run.txt -r /program/.locked/postgres.txt \\
 && pip install --no-cache-dir --no-deps --no-build-isolation /program && rm -rf /program
ENV BEFOREFLASH_DATA=/data BEFOREFLASH_HOST=0.0.0.0 BEFOREFLASH_PORT=8000
ENV BEFOREFLASH_LOG=json PYTHONUNBUFFERED=1
USER 10001
VOLUME /data
EXPOSE 8000
STOPSIGNAL SIGTERM
HEALTHCHECK --interval=30s --timeout=5s --start-period=60s \\
  CMD ["python", "-c", "import urllib.request as u; u.urlopen('http://127.0.0.1:8000/healthz', timeout=4)"]
CMD ["beforeflash", "serve"]
"""


def written(installed: Installed) -> str:
    moving = (
        f"Your shop is in {installed.data_folder} now: back it up, copy that to /data, and restore it."
        if installed.has_shop
        else "Both are made at the first start."
    )
    return _FILE.format(port=installed.port, moving=moving)
