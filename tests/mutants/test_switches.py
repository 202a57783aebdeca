"""Tests of whom a fault of the compiler is blamed on: python3 -m unittest discover tests/mutants"""

import unittest

from switches import at_fault

TEXT = b"a(); /*[1,2*/(if x { (b + /*[3*/(if y { c } else { /*<3*/d/*3>*/ })/*]*/) } else { /*<2*/e/*2>*/ })/*]*/ f"


class Blamed(unittest.TestCase):
    def at(self, word):
        return at_fault(TEXT, TEXT.index(word))

    def test_a_fault_in_changed_text_is_its_own(self):
        self.assertEqual(self.at(b"d/"), ({3}, True))
        self.assertEqual(self.at(b"e/"), ({2}, True))

    def test_a_fault_around_it_is_that_of_the_innermost_that_were_taken_apart(self):
        self.assertEqual(self.at(b"c }"), ({3}, False))
        self.assertEqual(self.at(b"b +"), ({1, 2}, False))

    def test_a_fault_elsewhere_is_that_of_what_stands_last_before_it(self):
        self.assertEqual(self.at(b" f"), ({1, 2}, False))
        self.assertEqual(self.at(b"a()"), (set(), False))


if __name__ == "__main__":
    unittest.main()
