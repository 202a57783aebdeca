"""Tests of the sample and the tally: python3 -m unittest discover tests/mutants"""

import unittest

from sample import AREAS, MOST_ALIVE, Tally, area_of, in_turn, skipped


def mutant(file, line):
    return {"file": file, "name": f"{file}:{line}: replace < with <="}


class Sample(unittest.TestCase):
    def test_a_file_belongs_to_the_area_of_its_folder(self):
        self.assertEqual(area_of("src/domain/dating/mod.rs"), "dating")
        self.assertEqual(area_of("src/domain/alarms/whelping.rs"), "alarms")
        self.assertIsNone(area_of("src/domain/slips.rs"))
        self.assertIsNone(area_of("src/store/growth/mod.rs"))

    def test_the_seed_alone_chooses_and_areas_take_turns(self):
        files = ("src/domain/dating/mod.rs", "src/domain/growth/mod.rs")
        mutants = [mutant(file, line) for file in files for line in range(20)]
        once = in_turn(mutants, AREAS, 7)
        self.assertEqual(once, in_turn(list(reversed(mutants)), AREAS, 7))
        self.assertNotEqual(once, in_turn(mutants, AREAS, 8))
        self.assertEqual(len(once), 40)
        self.assertEqual([area_of(m["file"]) for m in once[:4]], ["dating", "growth"] * 2)
        self.assertEqual({area_of(m["file"]) for m in in_turn(mutants, ["growth"], 7)}, {"growth"})

    def test_no_area_leaves_out_its_own_tests(self):
        for area in AREAS:
            self.assertFalse([name for name in skipped(area) if f"{area}::x".startswith(name)], area)


class Count(unittest.TestCase):
    def test_the_share_is_of_those_that_could_be_tried(self):
        tally = Tally()
        for summary, times in (("CaughtMutant", 8), ("Timeout", 1), ("Unviable", 5)):
            for _ in range(times):
                tally.add(summary)
        self.assertEqual((tally.tried, tally.alive), (9, 0.0))
        tally.add("MissedMutant")
        self.assertEqual((tally.tried, tally.alive), (10, MOST_ALIVE))
        both = tally.plus(tally)
        self.assertEqual((both.tried, both.missed, both.unviable), (20, 2, 10))
        self.assertEqual(Tally().alive, 0.0)
        self.assertRaises(KeyError, tally.add, "Success")


if __name__ == "__main__":
    unittest.main()
