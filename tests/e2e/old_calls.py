"""A process that calls the kernel as it was: each call that came later is answered ENOSYS, by a seccomp filter, in it and in
all that it starts. Numbers of x86_64: arch/x86/entry/syscalls/syscall_64.tbl of Linux, in which calls stand in the order in
which they came. Whoever asks for the kernel's version hears 2.6.x: OpenSSL takes no random numbers at all from a new kernel that
has no call for them."""
import ctypes
import platform

# The first call that this kernel did not have: sched_setattr came with 3.14, copy_file_range with 4.5.
FIRST_LATER = {"3.10": 314, "4.4": 326}
PR_SET_SECCOMP, PR_SET_NO_NEW_PRIVS, SECCOMP_MODE_FILTER = 22, 38, 2  # linux/prctl.h, linux/seccomp.h
ENOSYS = 38
UNAME26 = 0x0020000  # linux/personality.h


class Step(ctypes.Structure):  # struct sock_filter of linux/filter.h
    _fields_ = [("code", ctypes.c_uint16), ("if_true", ctypes.c_uint8), ("if_false", ctypes.c_uint8), ("value", ctypes.c_uint32)]


class Program(ctypes.Structure):  # struct sock_fprog
    _fields_ = [("length", ctypes.c_uint16), ("steps", ctypes.POINTER(Step))]


def as_on_kernel(version):
    """For preexec_fn."""
    assert platform.machine() == "x86_64"
    steps = (Step * 4)(Step(0x20, 0, 0, 0),                       # the number of the call
                       Step(0x35, 0, 1, FIRST_LATER[version]),    # no smaller than this:
                       Step(0x06, 0, 0, 0x00050000 | ENOSYS),     # answered
                       Step(0x06, 0, 0, 0x7FFF0000))              # else allowed
    program = Program(len(steps), steps)
    libc = ctypes.CDLL(None, use_errno=True)
    if libc.personality(UNAME26) < 0:
        raise OSError(ctypes.get_errno(), "the kernel does not call itself an old one")
    for words in ((PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0), (PR_SET_SECCOMP, SECCOMP_MODE_FILTER, ctypes.byref(program), 0, 0)):
        if libc.prctl(*words) != 0:
            raise OSError(ctypes.get_errno(), "the kernel takes no filter of calls")
