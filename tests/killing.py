"""Something that happens to a process at its n-th call of the system: killed, or interrupted.

`at_each_call` forks, so that a moment costs a hundredth of a second and every one can be tried.
No clock: moments are counted in audit events (opened, made, renamed, removed, listed, locked).
"""

import os
import signal
import sys

CALLS = frozenset(
    {
        "ctypes.dlsym",
        "fcntl.flock",
        "open",
        "os.listdir",
        "os.mkdir",
        "os.remove",
        "os.rename",
        "os.rmdir",
        "os.scandir",
        "shutil.rmtree",
    }
)
WRITES = frozenset({"open to write", "os.mkdir", "os.rename"})  # what a full disk refuses
MOST = 500  # calls


def killed():
    os.kill(os.getpid(), signal.SIGKILL)


def interrupted():
    signal.raise_signal(signal.SIGINT)


def full():
    raise OSError(28, "No space left on device")


def happens(what, number, calls=CALLS):
    """Let `what` happen in this process at call `number`, counted from 1."""
    count = 0

    def hook(event, given):
        nonlocal count
        if event == "open" and event not in calls and (given[2] or 0) & os.O_CREAT:
            event = "open to write"
        if event in calls:
            count += 1
            if count == number:
                what()

    sys.addaudithook(hook)


def run_with(work, what, number, calls=CALLS):
    """The exit code of a process that does `work`, to which `what` happens at a call.

    7: it ended well before that call; 0: after it; 9: with an exception.
    """
    child = os.fork()
    if child == 0:
        os._exit(_code(work, what, number, calls))
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status)


def counted(work, calls=CALLS):
    """How many calls `work` makes, in a process of its own."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        seen = []
        sys.addaudithook(lambda event, _: seen.append(event) if event in calls else None)
        work()
        os.write(write, str(len(seen)).encode())
        os._exit(0)
    os.close(write)
    os.waitpid(child, 0)
    number = int(os.read(read, 20))
    os.close(read)
    return number


def at_each_call(work, what, calls=CALLS):
    """For each call that `work` makes: its number, and the exit code as of `run_with`."""
    for number in range(1, MOST):
        code = run_with(work, what, number, calls)
        yield number, code
        if code == 7:
            return
    raise AssertionError("it makes more calls than are tried")


def _code(work, what, number, calls):
    signal.signal(signal.SIGINT, signal.default_int_handler)
    reached = []
    happens(lambda: (reached.append(1), what()), number, calls)
    try:
        work()
    except BaseException:  # noqa: BLE001  whatever it is, this child ends here
        return 9
    return 0 if reached else 7
