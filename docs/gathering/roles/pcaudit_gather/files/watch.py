"""Runs a program, and stops it with everything it started where it takes longer than it may.

    python3 -c "$(cat watch.py)" SECONDS PROGRAM [ARGUMENT]...

Runs on the PC, so that the program ends in time also where the connection is lost. Ansible's own async stops
nothing once the folder it notes its jobs in is gone.
"""

import os
import signal
import subprocess
import sys

STOPPED = 124  # as timeout(1) of GNU coreutils has it

program = subprocess.Popen(sys.argv[2:], start_new_session=True)  # noqa: S603
try:
    sys.exit(program.wait(float(sys.argv[1])))
except subprocess.TimeoutExpired:
    os.killpg(program.pid, signal.SIGKILL)
    sys.exit(STOPPED)
