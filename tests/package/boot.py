"""The folder that runs on any Linux, on another kernel: a machine of qemu-system starts that kernel with nothing but the
folder and busybox, records README's first recovery, writes pages and a spreadsheet, checks the book and stops.

    python3 tests/package/boot.py TAR KERNEL      KERNEL: /boot/vmlinuz-5.10.0-32-cloud-amd64 of Debian 11, say

By hand, not in CI: qemu-system-x86, busybox-static, cpio and a kernel (linux-image-cloud-amd64), a minute without KVM. They
need not be installed: a folder made by `mmdebstrap --variant=minbase --include=python3,cpio,qemu-system-x86,
busybox-static,linux-image-cloud-amd64,xz-utils bullseye FOLDER` has all, and chroot runs this in it."""
import os
import re
import shutil
import subprocess
import sys
import tempfile

SOURCE = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
tar, kernel = sys.argv[1:]
name = os.path.basename(tar).split(".tar")[0]
WORK = tempfile.mkdtemp(prefix="tarebook-boot-")
root = WORK + "/root"
for folder in ("bin", "dev", "proc", "sys", "tmp", "root", "opt"):
    os.makedirs(root + "/" + folder)
shutil.copy(shutil.which("busybox"), root + "/bin/busybox")
subprocess.run(["tar", "-xf", tar, "-C", root + "/opt"], check=True)
shutil.rmtree(root + "/opt/" + name + "/share/doc/tarebook/fixtures")
with open(os.path.join(SOURCE, "README.md"), encoding="utf-8") as f:
    block = re.search(r"\n## A first recovery\n\n((?:    .*\n)+)", f.read()).group(1)
with open(root + "/root/recovery", "w", encoding="utf-8") as f:
    f.write(re.sub(r"^    ", "", block, flags=re.M))
with open(root + "/init", "w") as f:
    f.write("""#!/bin/busybox sh
/bin/busybox --install -s /bin
export PATH=/bin:/opt/%s HOME=/root
mount -t proc proc /proc; mount -t devtmpfs dev /dev
cd /root; exec </dev/null  # as at no terminal: it asks nothing
echo "this is $(uname -sr)"
sh /root/recovery
tarebook report inventory --format xlsx --file /root/inventory.xlsx && test -s /root/inventory.xlsx && echo a sheet
tarebook pages --to /root/pages && test -s /root/pages/index.html && echo pages
tarebook check
echo all was asked
poweroff -f
""" % name)
os.chmod(root + "/init", 0o755)
with open(WORK + "/initrd", "wb") as f:
    files = subprocess.run(["find", "."], cwd=root, capture_output=True, check=True).stdout
    subprocess.run(["cpio", "-o", "-H", "newc", "--quiet"], cwd=root, input=files, stdout=f, check=True)
done = subprocess.run(["qemu-system-x86_64", "-cpu", "max", "-m", "1500", "-nographic", "-no-reboot", "-nic", "none", "-kernel", kernel,
                       "-initrd", WORK + "/initrd", "-append", "console=ttyS0 quiet panic=-1 no_timer_check"],
                      stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, errors="replace", timeout=400)
shown = done.stdout.replace("\r", "")
for wanted in ("STOP AT", "15.75 lb recovered into RC-01", "\na sheet", "\npages", "the book is in order", "all was asked"):
    assert wanted in shown, (wanted, shown[-4000:])
shutil.rmtree(WORK)
print("boot: README's first recovery, a spreadsheet, pages and check on " + re.search(r"this is (.*)", shown)[1])
