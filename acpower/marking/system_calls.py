"""The few system calls of Linux that Python does not offer: enter a sandbox, and give up every right in it.

What a process gives up here it cannot get back. The numbers are those of the kernel's headers
(linux/prctl.h, linux/seccomp.h, linux/bpf_common.h, asm/unistd.h), written down from memory; on
x86_64 the tests try each rule, on aarch64 nothing was run.
"""

import ctypes
import os
import platform
import struct
from collections.abc import Sequence

_SYSTEM = ctypes.CDLL(None, use_errno=True)
_MS_RDONLY, _MS_NOSUID, _MS_NODEV, _MS_REMOUNT = 1, 2, 4, 32
_PR_SET_SECCOMP, _PR_CAPBSET_DROP, _PR_SET_NO_NEW_PRIVS = 22, 24, 38
_SECCOMP_MODE_FILTER = 2
_CAPABILITIES = 64
_CAPABILITY_VERSION_3 = 0x20080522

_AUDIT = {"x86_64": 0xC000003E, "aarch64": 0xC00000B7}
_CALLS = {  # name: numbers on x86_64 and aarch64
    "add_key": (248, 217),
    "bpf": (321, 280),
    "clone": (56, 220),
    "clone3": (435, 435),
    "fsmount": (432, 432),
    "fsopen": (430, 430),
    "io_uring_setup": (425, 425),
    "keyctl": (250, 219),
    "memfd_create": (319, 279),
    "memfd_secret": (447, 447),
    "mmap": (9, 222),
    "mount": (165, 40),
    "move_mount": (429, 429),
    "msgget": (68, 186),
    "open_tree": (428, 428),
    "perf_event_open": (298, 241),
    "pivot_root": (155, 41),
    "process_vm_readv": (310, 270),
    "process_vm_writev": (311, 271),
    "ptrace": (101, 117),
    "request_key": (249, 218),
    "semget": (64, 190),
    "setns": (308, 268),
    "shmget": (29, 194),
    "socket": (41, 198),
    "umount2": (166, 39),
    "unshare": (272, 97),
    "userfaultfd": (323, 282),
}
_LOOKED_INTO = ("clone", "mmap", "socket")
_NOT_THERE = ("clone3", "memfd_create")  # the C library and Python then take another way
_NEW_NAMESPACES = 0x7E020000  # the flags of clone(2) that make a namespace
_SHARED, _OF_NO_FILE = 0x01, 0x20  # flags of mmap(2); both together is memory that no process need show
_FAMILY = 1  # of sockets: the local one
_OTHER_NUMBERS = 0x40000000  # from here on a second set of numbers for the same calls (x86_64)
_EPERM, _ENOSYS, _EAFNOSUPPORT = 1, 38, 97
_LOAD, _EQUAL, _AT_LEAST, _ANY_BIT, _RETURN = 0x20, 0x15, 0x35, 0x45, 0x06
_NUMBER, _MACHINE, _FIRST_ARGUMENT, _FOURTH_ARGUMENT = 0, 4, 16, 40  # places in struct seccomp_data
_ALLOW, _KILL, _FAIL = 0x7FFF0000, 0x80000000, 0x00050000


def enter(namespaces: Sequence[int]) -> None:
    """Enter namespaces, each given by an open file of ``/proc/PID/ns``, in this order."""
    for namespace in namespaces:
        _call(_SYSTEM.setns, namespace, 0)


def limit_memory_folder(place: str, size: int, most_files: int) -> None:
    """Limit the memory file system mounted at ``place`` to a size in bytes and a number of files."""
    flags = _MS_REMOUNT | _MS_NOSUID | _MS_NODEV
    limits = f"size={size},nr_inodes={most_files}".encode()
    _call(_SYSTEM.mount, None, place.encode(), None, ctypes.c_ulong(flags), limits)


def cover(folder: str) -> None:
    """Mount an empty folder on another one."""
    flags = _MS_RDONLY | _MS_NOSUID | _MS_NODEV
    _call(_SYSTEM.mount, b"tmpfs", folder.encode(), b"tmpfs", ctypes.c_ulong(flags), None)


def give_up_rights(user: int | None) -> None:
    """Give up every capability for good, and become an ordinary user where ``user`` names one."""
    for capability in range(_CAPABILITIES):
        _SYSTEM.prctl(_PR_CAPBSET_DROP, capability, 0, 0, 0)  # the kernel refuses numbers it does not know
    if user is not None:
        os.setgroups([])
        os.setgid(user)
        os.setuid(user)
    _call(_SYSTEM.capset, struct.pack("Ii", _CAPABILITY_VERSION_3, 0), bytes(24))
    _call(_SYSTEM.prctl, _PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0)


def refuse_calls() -> None:
    """From now on refuse system calls that no worksheet needs, in this process and all that it starts.

    Refused are new namespaces, mounts, a look into other processes, memory that belongs to no
    process, and sockets but for the local ones: those of the internet take memory that the whole
    machine shares, even where they reach nothing.
    """
    rules = _rules()
    program = ctypes.create_string_buffer(b"".join(struct.pack("HBBI", *rule) for rule in rules))
    header = struct.pack("HP", len(rules), ctypes.addressof(program))
    _call(_SYSTEM.prctl, _PR_SET_SECCOMP, _SECCOMP_MODE_FILTER, header, 0, 0)


def _rules() -> list[tuple[int, int, int, int]]:
    """Return the filter as instructions: code, how many to jump over if true, if false, and a number."""
    machine = platform.machine()
    number = {name: both[list(_AUDIT).index(machine)] for name, both in _CALLS.items()}
    rules = [(_LOAD, 0, 0, _MACHINE), (_EQUAL, 1, 0, _AUDIT[machine]), (_RETURN, 0, 0, _KILL)]
    rules += [(_LOAD, 0, 0, _NUMBER), (_AT_LEAST, 0, 1, _OTHER_NUMBERS), (_RETURN, 0, 0, _FAIL | _ENOSYS)]
    for name in _CALLS:
        if name not in _LOOKED_INTO:
            error = _ENOSYS if name in _NOT_THERE else _EPERM
            rules += [(_EQUAL, 0, 1, number[name]), (_RETURN, 0, 0, _FAIL | error)]
    rules += [(_EQUAL, 0, 4, number["clone"]), (_LOAD, 0, 0, _FIRST_ARGUMENT)]
    rules += [(_ANY_BIT, 0, 1, _NEW_NAMESPACES), (_RETURN, 0, 0, _FAIL | _EPERM), (_RETURN, 0, 0, _ALLOW)]
    rules += [(_EQUAL, 0, 5, number["mmap"]), (_LOAD, 0, 0, _FOURTH_ARGUMENT)]
    rules += [(_ANY_BIT, 0, 2, _SHARED), (_ANY_BIT, 0, 1, _OF_NO_FILE)]
    rules += [(_RETURN, 0, 0, _FAIL | _EPERM), (_RETURN, 0, 0, _ALLOW)]
    rules += [(_EQUAL, 0, 3, number["socket"]), (_LOAD, 0, 0, _FIRST_ARGUMENT)]
    rules += [(_EQUAL, 1, 0, _FAMILY), (_RETURN, 0, 0, _FAIL | _EAFNOSUPPORT), (_RETURN, 0, 0, _ALLOW)]
    return rules


def _call(function: "ctypes._NamedFuncPointer", *arguments: object) -> None:
    if function(*arguments) != 0:
        error = ctypes.get_errno()
        raise OSError(error, f"{function.__name__}: {os.strerror(error)}")
