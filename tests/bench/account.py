"""Runs a command and prints, as JSON, what it cost by the system's own account: ms on the clock, ms of all cores, peak bytes."""

import json
import os
import sys
import time

start = time.monotonic()
pid = os.posix_spawnp(sys.argv[1], sys.argv[1:], os.environ, file_actions=[(os.POSIX_SPAWN_DUP2, 2, 1)])
_, status, usage = os.wait4(pid, 0)
print(
    json.dumps(
        {
            "code": os.waitstatus_to_exitcode(status),
            "ms": 1000 * (time.monotonic() - start),
            "cpu": 1000 * (usage.ru_utime + usage.ru_stime),
            "peak": 1024 * usage.ru_maxrss,
        }
    )
)
