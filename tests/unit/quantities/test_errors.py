"""Problems of an input, all at once and a sentence each."""

from evenlay.quantities.errors import InputProblem, InputProblems

FULL = InputProblem("job.toml line 3", "step.settings.feed", '"12"', 'write it with its unit, as "120 mm/s"', "feed_min")


def test_a_problem_names_place_key_what_was_found_what_may_stand_and_the_nearest_word():
    assert str(FULL) == 'job.toml line 3: step.settings.feed: "12"; write it with its unit, as "120 mm/s". Did you mean feed_min?'


def test_a_problem_of_the_file_as_a_whole_has_no_key_and_no_guess_where_none_is_near():
    assert str(InputProblem("job.toml", "", "the file is empty", "run evenlay start")) == "job.toml: the file is empty; run evenlay start."


def test_all_problems_are_told_together_a_line_each():
    other = InputProblem("job.toml", "", "second", "mend it")
    problems = InputProblems((FULL, other))
    assert problems.problems == (FULL, other)
    assert str(problems).splitlines() == [str(FULL), str(other)]
