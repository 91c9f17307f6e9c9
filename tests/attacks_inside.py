"""Attacks A01 to A55, and others like them, as data: cells that do what no worksheet should.

In a cell @IN@, @NEIGHBOUR@, @HOME@, @SECRET@, @SOCKET@, @PLACE@ and @TAG@ stand for what `hostile_runs` puts there.
"""

import sys

from attacks import Attack

STACK_IS_GUARDED = sys.version_info >= (3, 14)
"""Whether Python itself ends a recursion that would fill the stack."""
WRONG = {"three_phase_power_kw": "1234567", "line_current_a": "1234567"}
CANARY = "hostile-canary"
INERT = f"<script>{CANARY}</script><img src=x onerror={CANARY}>"

_C = "import ctypes, os\nc = ctypes.CDLL(None, use_errno=True)\n"
# It is deaf, so that a busy machine has time to give it what it asks for.
_HOG = """
import os, signal, time
signal.signal(signal.SIGINT, signal.SIG_IGN)
def hog(mib):
    kept = b"x" * (mib << 20)
    time.sleep(60)
    os._exit(0)
"""
_LINK = """
import json, os, socket
for number in range(3, 64):
    try:
        link = socket.socket(fileno=os.dup(number))
    except OSError:
        continue
    if link.type == socket.SOCK_SEQPACKET:
        break
else:
    raise ValueError("no link")
"""
_NOT_GOT = "    raise ValueError('got it')\n"


def _refused(code: str, *errors: str) -> str:
    """Return a cell that raises if ``code`` gets what it wants."""
    lines = "".join(f"    {line}\n" for line in code.strip().splitlines())
    return f"try:\n{lines}except ({', '.join(errors or ('OSError',))},):\n    pass\nelse:\n{_NOT_GOT}"


def _call_refused(call: str, setup: str = "") -> str:
    return f"{_C}{setup}\nif {call} != -1:\n{_NOT_GOT}"


RESOURCES = (
    Attack("A01", "endless", "while True: pass", "timeout", limits_only="timeout"),
    Attack(
        "A02",
        "deaf",
        "import signal\nsignal.signal(signal.SIGINT, signal.SIG_IGN)\nwhile True: pass",
        "timeout",
        rest=False,
        limits_only="timeout",
        limits_only_rest=False,
    ),
    Attack("A03", "asleep", "import time\ntime.sleep(1e9)", "timeout"),
    Attack(
        "A04",
        "fork-bomb",
        "import os, signal\nsignal.signal(signal.SIGINT, signal.SIG_IGN)\n"
        "while True:\n    try:\n        os.fork()\n    except OSError:\n        pass",
        "timeout",
        rest=False,
    ),
    Attack(
        "A04",
        "forks",
        "import os, time\nfor _ in range(2000):\n    if os.fork() == 0:\n        time.sleep(60)\n"
        "        os._exit(0)",
        "stopped",
        "BlockingIOError",
    ),
    Attack("A05", "memory", "x = bytearray(64 << 30)", "memory", limits_only="memory"),
    Attack(
        "A06",
        "memory-of-many",
        f"{_HOG}for _ in range(4):\n    if os.fork() == 0: hog(300)\ntime.sleep(60)",
        "memory",
        rest=False,
    ),
    Attack(
        "X01",
        "memory-of-orphans",
        f"{_HOG}for _ in range(4):\n    if os.fork() == 0:\n        if os.fork() == 0: hog(300)\n"
        f"        os._exit(0)\n"
        "    os.wait()\ntime.sleep(60)",
        "memory",
        rest=False,
    ),
    Attack(
        "X02",
        "memory-hidden",
        f"{_HOG}import ctypes\nctypes.CDLL(None).prctl(4, 0)  # PR_SET_DUMPABLE\nfor _ in range(6):\n"
        "    if os.fork() == 0: hog(300)\ntime.sleep(60)",
        "memory",
        rest=False,
    ),
    Attack(
        "X03",
        "memory-in-a-crowd",
        f"{_HOG}for _ in range(4):\n    if os.fork() == 0: hog(300)\nfor _ in range(6):\n"
        f"    if os.fork() == 0:\n"
        "        while True:\n            if os.fork() == 0: os._exit(0)\n            os.wait()\n"
        "time.sleep(60)",
        "memory",
        rest=False,
    ),
    Attack("X04", "memory-shared", _refused("import mmap\nmmap.mmap(-1, 512 << 20)")),
    Attack(
        "X05",
        "memory-of-a-device",
        _refused("import mmap\nmmap.mmap(open('/dev/zero', 'r+b').fileno(), 1 << 20)"),
    ),
    Attack(
        "X06",
        "memory-in-a-nameless-file",
        _refused("import os\nos.memfd_create('x')") + _call_refused("c.syscall(447, 0)"),
    ),
    Attack("X07", "memory-in-semaphores", _call_refused("c.semget(0, 32000, 0o600)")),
    Attack(
        "X08",
        "memory-in-sockets",
        "import socket\nkept = []\ntry:\n    while True:\n        kept.append(socket.socketpair())\n"
        "        for end in kept[-1]:\n            end.setblocking(False)\n"
        "            end.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, 1 << 24)\n            try:\n"
        "                while True: end.send(b'x' * 32768)\n            except BlockingIOError: pass\n"
        "except OSError:\n    pass\nassert len(kept) < 32",
    ),
    Attack(
        "X09",
        "slow-reader",
        # The next cell does not fit into the link; each piece is taken in just before the marker would give up.
        f"{_LINK}import time\nlink.send(json.dumps({{'ended': 6}}).encode())\nwhile True:\n"
        "    time.sleep(4)\n    link.recv(1 << 17)",
        "timeout",
        then=f"x = '{'x' * 1_000_000}'",
        rest=False,
    ),
    Attack(
        "A07",
        "prints",
        f"print('x' * 200_000_000)\nprint({INERT!r})",
        "output-limit",
        rest=False,
        limits_only="output-limit",
        limits_only_rest=False,
    ),
    Attack("A07", "prints-often", "for _ in range(400): print('x' * 10_000)", "output-limit", rest=False),
    Attack(
        "A08",
        "one-large-file",
        "with open('large', 'wb') as file:\n    for _ in range(100): file.write(b'x' * (1 << 20))",
        "stopped",
        "OSError",
        limits_only="stopped",
    ),
    Attack(
        "A09",
        "many-large-files",
        "for n in range(40):\n    open(f'big-{n}', 'wb').write(b'x' * (8 << 20))",
        "stopped",
        "OSError",
    ),
    Attack(
        "A10",
        "many-files",
        "for n in range(1_000_000):\n    open(f'file-{n}', 'w').close()",
        "stopped",
        "OSError",
    ),
    Attack(
        "A10",
        "digs",
        "import os\nfor _ in range(3000):\n    os.mkdir('d')\n    os.chdir('d')",
        limits_only="",
    ),
    Attack(
        "A10",
        "closes",
        "import os\ntry:\n    os.chmod(os.environ['HOME'], 0)\nexcept PermissionError:\n    pass",
        limits_only="",
    ),
    Attack(
        "X10",
        "fills-other-folders",
        "".join(
            _refused(f"open('{place}/x', 'w')")
            for place in ("/tmp", "/dev/shm", "/dev", "/var/tmp", "", "/proc")
        ),
    ),
    Attack(
        "A11",
        "opens",
        "kept = []\ntry:\n    while True: kept.append(open('/dev/null'))\nexcept OSError:\n    pass",
        limits_only="",
    ),
    Attack("A12", "large-power", "x = 10 ** 10 ** 8", "timeout"),
    Attack("A12", "slow-pattern", "import re\nre.match('(a+)+$', 'a' * 64 + 'b')", "timeout"),
    Attack(
        "A13",
        "threads",
        "import threading, time\nfor _ in range(5000):\n"
        "    threading.Thread(target=time.sleep, args=(60,), daemon=True).start()",
        "stopped",
        "RuntimeError",
    ),
    Attack(
        "A14",
        "aborts",
        "import os\nos.abort()",
        "kernel-died",
        rest=False,
        limits_only="kernel-died",
        limits_only_rest=False,
    ),
    Attack(
        "A14",
        "overflows-the-stack",
        "import sys\nsys.setrecursionlimit(10**9)\nclass Deep:\n"
        "    def __repr__(self): return repr(self)\nrepr(Deep())",
        "stopped" if STACK_IS_GUARDED else "kernel-died",
        rest=STACK_IS_GUARDED,
    ),
    Attack("A14", "deep", "def f(n): return f(n + 1)\nf(0)", "stopped", "RecursionError"),
    Attack(
        "X11",
        "raises-limits",
        _refused(
            "import resource\nresource.setrlimit(resource.RLIMIT_NPROC, (4000, 4000))",
            "OSError",
            "ValueError",
        ),
    ),
    Attack("X12", "large-cell", f"x = '{'x' * 900_000}'"),
)

ENDING = (
    Attack("A15", "exits", "import sys\nsys.exit(0)", "exited", limits_only="exited"),
    Attack("A16", "quits", "exit()", "exited"),
    Attack(
        "A17",
        "leaves",
        "import os\nos._exit(0)",
        "kernel-died",
        rest=False,
        limits_only="kernel-died",
        limits_only_rest=False,
    ),
    Attack(
        "A18",
        "kills-itself",
        "import os\nos.kill(os.getpid(), 9)",
        "kernel-died",
        rest=False,
        limits_only="kernel-died",
        limits_only_rest=False,
    ),
    Attack("A19", "kills-parent", "import os\nos.kill(os.getppid(), 9)", "kernel-died", rest=False),
    Attack(
        "A19",
        "kills-all",
        "import os\nfor pid in (-1, *range(1, 64)):\n    try:\n        os.kill(pid, 9)\n"
        "    except OSError:\n        pass",
        "kernel-died",
        rest=False,
    ),
    Attack("X13", "kills-its-group", "import os\nos.kill(0, 9)", "kernel-died", rest=False),
    Attack("X14", "stops-its-group", "import os, signal\nos.kill(0, signal.SIGSTOP)", "timeout", rest=False),
    Attack(
        "A20",
        "strays",
        "import os, subprocess, sys\nwords = [sys.executable, '-c', 'import time; time.sleep(600)', '@TAG@']\n"
        "if os.fork() == 0:\n    os.setsid()\n    if os.fork() == 0:\n"
        "        os.execv(sys.executable, words)\n    os._exit(0)\n"
        "subprocess.Popen(words, start_new_session=True, env={})\n"
        "import time\ntime.sleep(1)",
        limits_only="",
    ),
    Attack(
        "X15",
        "leaves-children-behind",
        "import os, time\nif os.fork():\n    os._exit(0)\nif os.fork() == 0:\n    time.sleep(60)\n"
        "time.sleep(60)",
        "kernel-died",
        rest=False,
    ),
    Attack("A21", "ends-late", "import atexit\ndef loop():\n    while True: pass\natexit.register(loop)"),
    Attack(
        "X16",
        "prints-on",
        f"import threading, time\ndef on():\n    while True:\n        print({INERT!r})\n"
        f"        time.sleep(0.01)\n"
        "threading.Thread(target=on, daemon=True).start()",
    ),
    Attack(
        "A22",
        "looks-into-others",
        "import os\nfor pid in os.listdir('/proc'):\n"
        "    if not pid.isdigit() or int(pid) == os.getpid():\n        continue\n"
        "    for name in ('mem', 'environ', 'maps'):\n        try:\n"
        "            open(f'/proc/{pid}/{name}', 'rb').close()\n"
        "        except OSError:\n            continue\n        raise ValueError(pid, name)\n"
        + _call_refused("c.ptrace(16, 1, 0, 0)")
        + _call_refused("c.process_vm_readv(1, None, 0, None, 0, 0)"),
    ),
    Attack(
        "A23",
        "new-namespaces",
        _call_refused("c.unshare(0x10000000)")
        + _call_refused("c.unshare(0x00020000)")
        + _call_refused("c.syscall(435, None, 0)")
        + _call_refused("c.syscall(56, 0x10000000 | 17, 0, 0, 0, 0)")
        + _call_refused("c.mount(b'x', b'/worksheet', b'tmpfs', 0, None)"),
    ),
    Attack(
        "A24",
        "types-into-the-terminal",
        _refused("import fcntl, termios\nfor number in (0, 1, 2): fcntl.ioctl(number, termios.TIOCSTI, b'x')")
        + _refused("open('/dev/tty')"),
    ),
    Attack(
        "A25",
        "runs-tools",
        f"!cat /etc/passwd @IN@/* > got 2>/dev/null\nif open('got').read():\n{_NOT_GOT}!echo {CANARY}",
    ),
    Attack("A25", "runs-bash", f"%%bash\ntouch /usr/x @IN@/x && echo {CANARY} > got\nexit 0"),
)

_FAKE = "import sys, types\nsys.modules['acpower.worksheets.verdicts'] = types.ModuleType('fake')\n"
CHEATING = (
    Attack(
        "A26",
        "patches-builtins",
        "import builtins\nfor name in ('abs', 'round', 'sorted'):\n"
        "    setattr(builtins, name, lambda *a, **k: 0)",
        changes=WRONG,
    ),
    Attack(
        "A27",
        "patches-math",
        "import math, numpy\nmath.isclose = numpy.isclose = lambda *a, **k: True",
        changes=WRONG,
    ),
    Attack("A28", "fakes-the-package", _FAKE, "scheme-opened", changes=WRONG),
    Attack(
        "A29",
        "edits-the-package",
        "import acpower\nopen(acpower.__file__, 'a').write('# changed')",
        "stopped",
        "Error",
    ),
    Attack(
        "A31",
        "prints-marks",
        "print('12 passed, 19 of 19 marks')\n"
        'print(\'{"question": "line_current_a", "marks": 2, "verdict": "right"}\')',
        changes=WRONG,
    ),
    Attack(
        "A33",
        "displays-marks",
        "from IPython.display import display\ndisplay({'application/x-acpower-answer+json': {'question': "
        "'three_phase_power_kw', 'marks': 2, 'verdict': 'right'}}, raw=True)",
        changes=WRONG,
    ),
    Attack(
        "X17",
        "patches-the-shell",
        "from IPython.display import display\nshell = get_ipython()\nold = shell.send\n"
        "def send(message):\n    if 'answer' in message:\n"
        "        message = {'answer': message['answer'].replace('\"kind\": \"number\"', '\"kind\": \"right\"')}\n"
        "    old(message)\n"
        "shell.send = send\nshell.display_pub.publish = lambda *a, **k: None",
        rest=False,
        changes=WRONG,
    ),
    Attack(
        "X18",
        "forges-an-end",
        f"{_LINK}link.send(json.dumps({{'ended': 6}}).encode())",
        "channel-misused",
        rest=False,
    ),
    Attack("X19", "sends-too-much", f"{_LINK}link.send(b' ' * 150_000)", "channel-misused", rest=False),
    Attack("X20", "sends-depth", f"{_LINK}link.send(b'[' * 60_000)", "channel-misused", rest=False),
    Attack("X21", "sends-bytes", f"{_LINK}link.send(bytes(range(256)))", "channel-misused", rest=False),
    Attack(
        "X22", "sends-other-things", f"{_LINK}link.send(b'{{\"ended\": 6.0}}')", "channel-misused", rest=False
    ),
    Attack("X23", "sends-digits", f"{_LINK}link.send(b'9' * 100_000)", "channel-misused", rest=False),
    Attack(
        "X24",
        "sends-nothing",
        f"{_LINK}link.send(b'')\nimport time\ntime.sleep(2)",
        "kernel-died",
        rest=False,
    ),
    Attack(
        "X25",
        "sends-files",
        f"{_LINK}socket.send_fds(link, [json.dumps({{'printed': 'x'}}).encode()], [0] * 50)",
    ),
    Attack(
        "X26",
        "answers-for-later",
        f"{_LINK}for name in ('limiting_link', 'grid_power_kw'):\n"
        "    answer = {'question': name, 'answer': {'kind': 'number', 'text': '1', 'code': '', 'trials': []}}\n"
        "    link.send(json.dumps({'answer': json.dumps(answer)}).encode())",
    ),
    Attack("X27", "closes-the-link", "import os\nos.closerange(3, 64)", "kernel-died", rest=False),
    Attack(
        "X28", "covers-the-link", "import os\nfor n in range(3, 64): os.dup2(0, n)", "kernel-died", rest=False
    ),
    Attack("X29", "shuts-the-link", f"{_LINK}link.shutdown(socket.SHUT_RDWR)", "kernel-died", rest=False),
    Attack("X30", "goes-on-twice", "import os\nos.fork()", "channel-misused", rest=None),
    Attack(
        "X31",
        "floods",
        f"{_LINK}text = json.dumps({{'printed': 'x' * 200}}).encode()\nwhile True: link.send(text)",
        "output-limit",
        rest=False,
    ),
    Attack(
        "X32",
        "trickles",
        f"{_LINK}import signal, time\nsignal.signal(signal.SIGINT, signal.SIG_IGN)\nwhile True:\n"
        f"    time.sleep(1)\n"
        '    link.send(b\'{"printed": "x"}\')',
        "timeout",
        rest=False,
    ),
    Attack(
        "A34",
        "forges-files",
        "for name in ('answers', 'answers.jsonl', 'marking-record.json', 'log', 'order'):\n"
        "    open(name, 'a').write("
        '\'{"cell": \' + \'9\' * 4000 + \', "code": "timeout", "says": "x", "records": []}\\n\'\n'
        '        \'[[[[{"cell": -5, "code": "exited", "says": "", "records": []}\\n\')',
        limits_only="",
    ),
    Attack(
        "A34",
        "links-instead",
        "import os\nif os.path.exists('answers'): os.remove('answers')\n"
        "os.symlink(os.sys.executable, 'answers')",
        limits_only="",
    ),
    Attack(
        "A34",
        "pipe-instead",
        "import os\nif os.path.exists('answers'): os.remove('answers')\nos.mkfifo('answers')",
        limits_only="",
    ),
    Attack(
        "A34",
        "folder-instead",
        "import os\nif os.path.exists('answers'): os.remove('answers')\nos.mkdir('answers')",
        limits_only="",
    ),
    Attack(
        "A37",
        "asks-often",
        "for n in range(100_000):\n    job.record('line_current_a', line_current_a)",
        "output-limit",
        rest=False,
    ),
    Attack("A38", "breaks-the-interpreter", "import ctypes\nctypes.string_at(0)", "kernel-died", rest=False),
    Attack("X33", "comment-skips", "# NBVAL_SKIP\n1 / 0", "stopped", "zero"),
    Attack("X34", "comment-allows", "# NBVAL_RAISES_EXCEPTION\n1 / 0", "stopped", "zero"),
    Attack("X35", "awaits", "import asyncio\nawait asyncio.sleep(0.01)"),
    Attack("X36", "asks-the-marker", "x = input('your password')", "stopped", "nobody to ask"),
    Attack("X37", "raises-markup", f"raise ValueError({INERT!r})", "stopped", CANARY, limits_only="stopped"),
    Attack(
        "X38",
        "raises-without-words",
        "class Bad(Exception):\n    def __str__(self): raise self\n"
        "Bad.__name__ = '=1+1' + 'x' * 100_000\nraise Bad",
        "stopped",
    ),
)

READING = (
    Attack(
        "A39",
        "lists-others",
        "import os\nif {'in', 'class.csv'} & set(os.listdir('..')): raise ValueError\nos.listdir('@IN@')",
        "stopped",
        "FileNotFoundError",
    ),
    Attack("A40", "reads-the-key", "open('@NEIGHBOUR@/term-key.txt').read()", "stopped", "FileNotFoundError"),
    Attack(
        "A41",
        "writes-to-others",
        _refused("import os\nfor name in os.listdir('@IN@'): os.remove('@IN@/' + name)")
        + "open('@IN@/x.ipynb', 'w')",
        "stopped",
        "FileNotFoundError",
    ),
    Attack(
        "A42",
        "reads-the-home",
        "".join(
            _refused(f"import os\nos.listdir({place!r}) and open({place!r} + '/passwd')")
            for place in ("@HOME@", "/home", "/etc")
        )
        + _refused("open('/etc/shadow')"),
    ),
    Attack(
        "A43",
        "shows-the-environment",
        f"import os\nif '@SECRET@' in str(dict(os.environ)) or '@PLACE@/in' in str(dict(os.environ)):\n"
        f"{_NOT_GOT}",
    ),
    Attack(
        "A44",
        "reads-the-first-process",
        "import os\nfor pid in filter(str.isdigit, os.listdir('/proc')):\n"
        "    for name in ('environ', 'cmdline'):\n"
        "        try:\n            text = open(f'/proc/{pid}/{name}').read()\n        except OSError:\n"
        "            continue\n"
        "        if '@SECRET@' in text or '@PLACE@/in' in text or 'class.csv' in text:\n"
        "            raise ValueError(name)",
    ),
    Attack(
        "A45",
        "names-the-machine",
        "import os, socket\nif os.uname().nodename != 'worksheet': raise ValueError",
    ),
    Attack(
        "A46",
        "remounts",
        _call_refused(
            "c.mount(None, prefix, None, 32 | 4096, None)", "import sys\nprefix = sys.prefix.encode()"
        ),
    ),
    Attack(
        "A47",
        "writes-kernel-settings",
        "".join(
            _refused(f"open('{name}', 'w')")
            for name in ("/proc/sys/kernel/core_pattern", "/proc/sysrq-trigger", "/proc/sys/vm/drop_caches")
        ),
    ),
    Attack(
        "A48",
        "leaves-files-for-the-next",
        "import os\nfor folder in ('.', os.environ['HOME'], '.ipython/profile_default/startup', "
        "'.config/matplotlib'):\n    os.makedirs(folder, exist_ok=True)\n"
        "    for name in ('sitecustomize.py', 'usercustomize.py', 'conftest.py', 'matplotlibrc', '00-start.py'):\n"
        "        open(f'{folder}/{name}', 'w').write('1 / 0')",
        limits_only="",
    ),
    Attack(
        "A49",
        "shadows",
        "for name in ('json', 'numpy', 'pytest', 'psutil'):\n    open(name + '.py', 'w').write('1 / 0')",
        limits_only="",
    ),
    Attack(
        "A50",
        "leaves-pickles",
        "import os\nfor name in ('answers', 'log', 'x.pkl'):\n    open(name, 'wb').write(b\"cos\\n"
        "system\\n(S'touch @PLACE@/got'\\ntR.\")",
        limits_only="",
    ),
    Attack(
        "A51",
        "takes-shared-memory",
        _call_refused("c.shmget(0, 1 << 20, 0o600)") + _call_refused("c.msgget(0, 0o600)"),
    ),
)

NETWORK = (
    Attack(
        "A52",
        "connects",
        "import socket\nsocket.create_connection(('192.0.2.1', 53), 2)",
        "stopped",
        "OSError",
    ),
    Attack(
        "A52", "looks-names-up", "import socket\nsocket.getaddrinfo('example.org', 80)", "stopped", "gaierror"
    ),
    Attack(
        "A53",
        "sends-datagrams",
        "import socket\nsocket.socket(type=socket.SOCK_DGRAM).sendto(b'x', ('127.0.0.1', 9))",
        "stopped",
        "OSError",
    ),
    Attack(
        "A53",
        "calls-a-service",
        "import socket\nsocket.socket(socket.AF_UNIX).connect('\\0@SOCKET@')",
        "stopped",
        "ConnectionRefusedError",
    ),
    Attack("A54", "listens", "import socket\nsocket.create_server(('127.0.0.1', 0))", "stopped", "OSError"),
    Attack("A55", "installs", "%pip install --quiet hostile-package"),
    Attack(
        "X39",
        "other-sockets",
        "import socket\n"
        + "".join(
            _refused(f"socket.socket({family}, socket.SOCK_DGRAM)")
            for family in (2, 10, 16, 17, 29, 31, 38, 40)
        ),
    ),
)

ATTACKS = (*RESOURCES, *ENDING, *CHEATING, *READING, *NETWORK)
