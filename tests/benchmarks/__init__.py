"""Speed and memory of the product, as ratios within one run against hand-written scripts of the same job.

    run.py            the command: rounds of jobs in turn, then  figure | target | measured (min..max)
    figures.py        what each figure compares, its limit, how it is judged and printed
    jobs.py           what is run for it; processes.py: one fresh process, its time and memory
    product.py        everything known of the product's command line
    mixed_bank.py     the bank with items of every kind, its ranges wider
    families.py       ten item families with sympy: draws, slips, worked lines
    plain_script.py   solve, then test; simplify(a - b) != 0; latex(), mathml(); lxml; zip
    tuned_script.py   the same items made quick without leaving sympy; its docstring says what was tuned
    floor_script.py   the least any writer of packages takes: zipping the finished members again
    count_script.py   exact counts by itertools.product, and the templates that count the same boxes
    count_product.py  the product's count of such a box, timed alone like that of the script
    verify_script.py  the audit of a finished package, against a bare parse of its documents
    proof_sampler.py  runs the product and samples how much of its time is spent in proofs

How to run it, from the root of the checkout:

    python tests/benchmarks/run.py                                            every figure, 7 rounds
    python tests/benchmarks/run.py --only help --only build-40                single figures
    python tests/benchmarks/run.py --bank tests/benchmarks/bank --json
    python tests/benchmarks/run.py --only tuned-against-plain --rounds 3      without the product

What is compared, and how it is kept fair:

- Scripts draw at random and reject on properties of what sympy solved; they write the same kind of item
  (choice or entry, feedback for each option, response processing spelled out, rubric with problem, key, worked
  solution and what each wrong answer comes from, each formula as presentation MathML with content annotation
  and LaTeX). `run.py` prints the bytes per item of each side beside the ratios, so that a lean side shows: the
  scripts are the lean ones (no metadata for each item, no quiz, no spoken stem, no marks for a surd that is right
  but not simplified).
- Time of a script is its work alone: starting Python and importing sympy are left out (and told apart). Time
  of the product is the whole command from the outside, start included. Both lean against the product.
- Every job runs in a fresh process, in turn within a round; a figure is the median over the rounds of the
  ratio within one round, with its range. No figure compares times of different rounds.
- A round counts only if `itembank verify` accepts every package the round built. Equal inputs give equal
  files, so a package with a digest that was accepted earlier in the same run is not read a second time.

Nothing here is collected by pytest: times do not belong in tests.
"""
