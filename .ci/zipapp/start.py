"""Where Python begins in the single file; as ``__main__.py`` it starts pcaudit.

Whatever Python is there reads it, so it keeps to what Python 2.7 understands.
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036 - which Python starts the file is the PC's to say
    sys.stderr.write(
        "pcaudit needs Python 3.11 or newer; this is Python %d.%d.\n" % sys.version_info[:2]  # noqa: UP031
        + "    Start it with a newer one, such as: python3.11 %s\n" % sys.argv[0]  # noqa: UP031
    )
    sys.exit(2)

from pcaudit.__main__ import main

main()
