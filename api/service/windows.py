"""A task of Windows' own scheduler: started when the person who uses the computer signs in."""

from __future__ import annotations

from xml.sax.saxutils import escape

from api.service import Installed

_TASK = """\
<?xml version="1.0" encoding="UTF-16"?>
<!--
Beforeflash, started by Windows when you sign in. Read this first.

To install it, in PowerShell as the person who uses this computer (where "- -" stands, leave out the blank):
  & "{command}" service windows{with_options} | Out-File -Encoding unicode beforeflash.xml
  schtasks /Create /TN Beforeflash /XML beforeflash.xml
  schtasks /Run /TN Beforeflash
  Get-Content "{log}"
The last line shows the address, and for a new shop the set-up code of its first owner, once.
So that tablets reach it, once, in PowerShell as administrator:
  New-NetFirewallRule -DisplayName Beforeflash -Direction Inbound -Protocol TCP -LocalPort {ports}
To let nothing in without HTTPS, see HTTPS alone in the guide, under Tablets, first.
Let the computer not sleep while the shop is open.

Data: {folder} holds the shop (shop.db), its backups and the log (server.log).
Backup: a copy is made there every night, or when the computer is on again. A broken disk takes it along: once
  a week save one on another disk (Shop, then Backups, or: & "{command}" backup FILE).
Restore: schtasks /End /TN Beforeflash, then: & "{command}" restore FILE, then: schtasks /Run /TN Beforeflash
  The old shop is kept beside it.
Upgrade: schtasks /End /TN Beforeflash, install the new version, schtasks /Run /TN Beforeflash. Before it
  changes tables it makes a backup. To go back, install the old version and restore that backup.
Is it well? & "{command}" doctor
To take it away: schtasks /Delete /TN Beforeflash
-->
<Task version="1.2" xmlns="http://schemas.microsoft.com/windows/2004/02/mit/task">
  <RegistrationInfo>
    <Description>Beforeflash, a shop's memory for module reprogramming</Description>
  </RegistrationInfo>
  <Triggers>
    <LogonTrigger><Enabled>true</Enabled></LogonTrigger>
  </Triggers>
  <Principals>
    <Principal id="Author">
      <LogonType>InteractiveToken</LogonType>
      <RunLevel>LeastPrivilege</RunLevel>
    </Principal>
  </Principals>
  <Settings>
    <MultipleInstancesPolicy>IgnoreNew</MultipleInstancesPolicy>
    <DisallowStartIfOnBatteries>false</DisallowStartIfOnBatteries>
    <StopIfGoingOnBatteries>false</StopIfGoingOnBatteries>
    <StartWhenAvailable>true</StartWhenAvailable>
    <ExecutionTimeLimit>PT0S</ExecutionTimeLimit>
    <RestartOnFailure><Interval>PT1M</Interval><Count>10</Count></RestartOnFailure>
  </Settings>
  <Actions Context="Author">
    <Exec>
      <Command>cmd.exe</Command>
      <Arguments>{arguments}</Arguments>
    </Exec>
  </Actions>
</Task>
"""


def written(installed: Installed) -> str:
    """The task as XML, of the Task Scheduler's schema 1.2 (from memory; not tried here on Windows). The
    folder is made first: the log is opened in it before the program is there to make it.
    """
    log = str(installed.data_folder / "server.log")
    serve = f'"{installed.command}" serve --host 0.0.0.0 --port {installed.port}{installed.options}'
    return _TASK.format(
        log=_in_a_comment(log),
        folder=_in_a_comment(str(installed.data_folder)),
        command=_in_a_comment(str(installed.command)),
        with_options=_in_a_comment(installed.options),
        ports=f"{installed.port},{installed.https_port}" if installed.https_port else installed.port,
        arguments=escape(f'/c "mkdir "{installed.data_folder}" 2>nul & {serve} >> "{log}" 2>&1"'),
    )


def _in_a_comment(text: str) -> str:
    """Two hyphens would end it."""
    return text.replace("--", "- -")
