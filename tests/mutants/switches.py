"""One build that holds many mutants, each behind a switch that its number in the environment turns on."""

import json
import os
import pathlib
import re
import subprocess

ON = "DENWRIGHT_CHANGE"
# Asked in the midst of sums, and not optimised: so it is a load and a comparison.
SWITCH = """
static CHANGE: std::sync::atomic::AtomicU32 = std::sync::atomic::AtomicU32::new(u32::MAX);

/// Whether the change of this number is tried.
#[inline]
pub(crate) fn change_is_on(id: u32) -> bool {
    let on = CHANGE.load(std::sync::atomic::Ordering::Relaxed);
    if on != u32::MAX {
        return on == id;
    }
    let on = std::env::var("%s").map_or(0, |id| id.parse().unwrap_or(0));
    CHANGE.store(on, std::sync::atomic::Ordering::Relaxed);
    on == id
}
""" % ON
MARK = re.compile(rb"/\*(?:<(?P<begin>\d+)|(?P<end>\d+)>|\[(?P<opened>[\d,]+)|(?P<closed>\]))\*/")


def at_fault(text, place):
    """The numbers of the changes that a fault at this byte is blamed on, and whether it stands in their own text.

    Where it stands in none, what was taken apart around it is, else what stands last before it.
    """
    own, around, last = None, [], set()
    for mark in MARK.finditer(text):
        if mark.start() > place:
            break
        if mark["begin"]:
            own = int(mark["begin"])
            last = {own}
        elif mark["end"]:
            own = None
        elif mark["opened"]:
            around.append({int(number) for number in mark["opened"].split(b",")})
        else:
            last = around.pop()
    if own is not None:
        return {own}, True
    return (around[-1] if around else last), False


class Switched:
    """A tree whose mutants are all in one test program."""

    def __init__(self, tree, environment):
        self.tree, self.environment = tree, environment
        self.program, self.unviable, self.without = None, set(), set()

    def build(self, mutants, restored):
        """Builds them all, without those that the compiler refuses; `restored` brings the sources back."""
        left = {mutant["id"]: mutant for mutant in mutants}
        while True:
            restored(self.tree)
            self.without |= set(self.write(list(left.values())))
            left = {number: mutant for number, mutant in left.items() if number not in self.without}
            faults = self.compile()
            if not faults:
                return
            blamed = False
            for numbers, own in faults:
                known = numbers & set(left)
                (self.unviable if own else self.without).update(known)
                blamed |= bool(known)
            if not blamed:
                raise SystemExit(f"The compiler refuses the switched tree {self.tree}.")
            left = {n: m for n, m in left.items() if n not in self.unviable | self.without}

    def write(self, mutants):
        """Puts the mutants into the sources; the numbers of those that no switch can stand before."""
        fields = ("id", "file", "genre", "span", "replacement")
        given = json.dumps([{field: mutant[field] for field in fields} for mutant in mutants])
        command = ["cargo", "run", "--quiet", "--locked", "--package", "switches", "--", str(self.tree)]
        said = subprocess.run(
            command, input=given, env=self.environment, check=True, capture_output=True, text=True
        )
        with open(self.tree / "src/domain/lib.rs", "a", encoding="utf-8") as root:
            root.write(SWITCH)
        return json.loads(said.stdout)

    def compile(self):
        """The changes that each fault of the compiler is blamed on; none when the program is built."""
        command = ["cargo", "test", "--package", "domain", "--lib", "--no-run", "--message-format=json"]
        done = subprocess.run(command, cwd=self.tree, env=self.environment, capture_output=True, text=True)
        faults = []
        for line in done.stdout.splitlines():
            message = json.loads(line) if line.startswith("{") else {}
            if message.get("executable") and message["target"]["name"] == "domain":
                self.program = message["executable"]
            told = message.get("message") or {}
            if message.get("reason") == "compiler-message" and told.get("level") == "error":
                faults += self.blamed(told)
        if done.returncode and not faults:
            raise SystemExit(done.stderr)
        return faults

    def blamed(self, told):
        spans = [span for span in told["spans"] if span["is_primary"]] or told["spans"]
        return [
            at_fault((self.tree / span["file_name"]).read_bytes(), span["byte_start"]) for span in spans
        ]

    def run(self, number, arguments, seconds):
        """Runs the tests with one change, or none (0); whether they pass, None when they take too long."""
        environment = {**self.environment, ON: str(number)}
        folder = self.tree / "src/domain"
        try:
            done = subprocess.run(
                [self.program, *arguments],
                cwd=folder, env={**environment, "CARGO_MANIFEST_DIR": str(folder.resolve())},
                stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                timeout=seconds,
            )
        except subprocess.TimeoutExpired:
            return None
        return done.returncode == 0
