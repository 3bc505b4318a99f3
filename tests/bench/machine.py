"""Which machine, in words: figures without it say little."""
import os
import platform
import subprocess


def described(data):
    cpu = platform.machine()
    with open("/proc/cpuinfo") as f:
        for line in f:
            if line.startswith("model name"):
                cpu = line.split(":", 1)[1].strip()
                break
    with open("/proc/meminfo") as f:
        memory_kib = int(f.readline().split()[1])
    disk = subprocess.run(["stat", "-f", "-c", "%T", data], capture_output=True, text=True).stdout.strip()
    return {
        "cpu": cpu,
        "cores": os.cpu_count(),
        "memory_gib": round(memory_kib / 2**20, 1),
        "kernel": platform.release(),
        "file_system": disk or "unknown",
        "load_at_start": round(os.getloadavg()[0], 2),
    }
