"""Small disks in memory for a server, which a test fills and empties. They are mounted in a namespace of this process and
its children alone, and go with the last of them; that takes the rights of root, and a kernel that lets it."""
import os
import subprocess
import sys

AGAIN = "TAREBOOK_TEST_IN_NAMESPACE"


def own_namespace():
    """Starts this script again in a namespace of mounts of its own. False: this machine does not let it."""
    if os.environ.get(AGAIN):
        return True
    words = ["unshare", "--mount", "--propagation", "private"]
    tried = subprocess.run([*words, "mount", "-t", "tmpfs", "-o", "size=1m", "none", "/mnt"], capture_output=True)
    if os.geteuid() != 0 or tried.returncode != 0:
        return False
    os.environ[AGAIN] = "yes"
    os.execvp(words[0], [*words, sys.executable, *sys.argv])


class SmallDisk:
    def __init__(self, folder, megabytes, owner):
        self.folder, self.ballast = folder, os.path.join(folder, "ballast")
        self.room = os.path.join(folder, "files")  # the server wants it empty and its own
        os.makedirs(folder, exist_ok=True)
        subprocess.run(["mount", "-t", "tmpfs", "-o", "size=%dm" % megabytes, "none", folder], check=True)
        os.chmod(folder, 0o755)
        os.mkdir(self.room, 0o700)
        os.chown(self.room, owner, owner)

    def fill(self, left):
        """Takes all but so many bytes of what is free."""
        for _ in range(20):
            about = os.statvfs(self.folder)
            size = about.f_bavail * about.f_frsize - left
            if size <= 0:
                return
            try:
                with open(self.ballast, "wb") as f:
                    return os.posix_fallocate(f.fileno(), 0, size)
            except OSError:  # the server took some of it meanwhile
                self.empty()
        raise AssertionError("the disk is never full")

    def empty(self):
        if os.path.exists(self.ballast):
            os.unlink(self.ballast)

    def close(self):
        subprocess.run(["umount", "--lazy", self.folder], check=False)
