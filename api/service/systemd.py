"""A unit of systemd: its own user, its own folder, and as little else as possible."""

from __future__ import annotations

import shlex
from pathlib import Path

from api.service import Installed

FOLDER = "/".join(("", "var", "lib", "beforeflash"))
UNIT = Path("/".join(("", "etc", "systemd", "system", "beforeflash.service")))
"""Where it is installed."""
_EACH_SHOPS_OWN = ("#", "Environment=", "ExecStart=", "ProtectHome=")
_UNIT = """\
# Beforeflash, started by systemd. Read this first; lines that begin with # are for you.
#
# To install it, as root:
#   useradd --system --home-dir {folder} --shell /usr/sbin/nologin beforeflash
#   {shell} service systemd{options} > {unit}
#   systemctl daemon-reload && systemctl enable --now beforeflash
#   journalctl -u beforeflash -n 20
# The last line shows the address, and for a new shop the set-up code of its first owner, once.
#
# Data: {folder} holds the shop (shop.db) and its backups. {moving}
# Backup: a copy is made there every night. A broken disk takes it along: once a week save one on another
#   disk (Shop -> Backups, or: BEFOREFLASH_DATA={folder} {shell} backup FILE).
# Restore: systemctl stop beforeflash, BEFOREFLASH_DATA={folder} {shell} restore FILE,
#   chown -R beforeflash: {folder}, systemctl start beforeflash. The old shop is kept beside it.
# Upgrade: systemctl stop beforeflash, install the new version, systemctl start beforeflash. Before it changes
#   tables it makes a backup. To go back, install the old version and restore that backup.
# Is it well? env $(sed -n 's/^Environment=//p' {unit}) {shell} doctor
[Unit]
Description=Beforeflash, a shop's memory for module reprogramming
After=network-online.target
Wants=network-online.target

[Service]
Type=exec
User=beforeflash
StateDirectory=beforeflash
StateDirectoryMode=0700
Environment=BEFOREFLASH_DATA={folder}
# 0.0.0.0 lets tablets of the shop's network in; 127.0.0.1 only a proxy on this computer.
Environment=BEFOREFLASH_HOST=0.0.0.0
Environment=BEFOREFLASH_PORT={port}
Environment=BEFOREFLASH_HTTPS={encrypted}
# yes lets nothing in without HTTPS, and browsers remember it: read HTTPS alone in the guide (Tablets) first.
Environment=BEFOREFLASH_HTTPS_ONLY={alone}
{proxies}Environment=PYTHONUNBUFFERED=1
ExecStart={command} serve
Restart=on-failure
RestartSec=5
TimeoutStopSec=20
UMask=0077
# From here on: what it may not do.
NoNewPrivileges=yes
CapabilityBoundingSet=
AmbientCapabilities=
ProtectSystem=strict
ProtectHome={home}
PrivateTmp=yes
PrivateDevices=yes
ProtectClock=yes
ProtectControlGroups=yes
ProtectHostname=yes
ProtectKernelLogs=yes
ProtectKernelModules=yes
ProtectKernelTunables=yes
ProtectProc=invisible
RestrictAddressFamilies=AF_INET AF_INET6 AF_UNIX
RestrictNamespaces=yes
RestrictRealtime=yes
RestrictSUIDSGID=yes
LockPersonality=yes
RemoveIPC=yes
SystemCallArchitectures=native
SystemCallFilter=@system-service
SystemCallFilter=~@privileged @resources

[Install]
WantedBy=multi-user.target
"""


def written(installed: Installed) -> str:
    """The unit as text. A program that lies in somebody's home stays readable there."""
    in_a_home = installed.command.parts[1:2] in (("home",), ("root",))
    moving = f"Your shop is in {installed.data_folder} now: stop it and copy all of it there, for that user."
    return _UNIT.format(
        folder=FOLDER,
        port=installed.port,
        command=_quoted(str(installed.command)),
        shell=shlex.quote(str(installed.command)),
        unit=UNIT,
        options=installed.options,
        encrypted="yes" if installed.https_port else "no",
        alone="yes" if installed.https_only else "no",
        proxies=f"Environment=BEFOREFLASH_PROXIES={installed.proxies}\n" if installed.proxies else "",
        home="read-only" if in_a_home else "yes",
        moving=moving if installed.has_shop else "Both are made at the first start.",
    )


def lines_missing_from(unit: str) -> tuple[str, ...]:
    """What this version writes and an installed unit has not. What each shop sets for itself there, and what
    follows from where the program lies, is not compared; nor is what the unit has beside.
    """
    there = {line.strip() for line in unit.splitlines()} | {""}
    ours = written(Installed(Path("beforeflash"), Path(FOLDER), 8000, has_shop=False)).splitlines()
    return tuple(line for line in ours if line not in there and not line.startswith(_EACH_SHOPS_OWN))


def _quoted(command: str) -> str:
    """As systemd reads it: a blank ends a word, % begins a specifier."""
    plain = command.replace("%", "%%")
    return f'"{plain}"' if " " in plain else plain
