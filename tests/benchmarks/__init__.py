"""Speed and memory of the whole product, as ratios within one run against hand-written scripts of the same job.

    run.py             runs everything in turn in fresh processes and prints  figure | target | measured (min..max)
    families.py        ten item families as a teacher who programs writes them with sympy: draws, slips, worked lines
    plain_script.py    the straightforward script: solve, then test; simplify(a - b) != 0; latex(), mathml(); lxml; zip
    tuned_script.py    the same job made quick without leaving sympy; its docstring says what was tuned
    floor_script.py    the least any writer of packages can take: zipping the finished members again
    count_script.py    exact counts by itertools.product, and the templates that count the same box
    proof_sampler.py   runs the product and samples how much of its processor time is spent in proofs

How to run it, from the root of the checkout:

    python tests/benchmarks/run.py                                  every figure, 7 rounds (hours)
    python tests/benchmarks/run.py --only help --only build-40      single figures
    python tests/benchmarks/run.py --bank tests/benchmarks/bank --json
    python tests/benchmarks/run.py --only tuned-against-plain --rounds 3    the scripts alone, without the product

What is compared, and how it is kept fair:

- Scripts draw at random and reject on properties of what sympy solved; they write the same kind of item (choice or
  entry, feedback for each option, response processing spelled out, rubric with the worked solution, each formula as
  presentation MathML with content annotation and LaTeX). `run.py` prints the bytes per item of each side beside the
  ratios, so that a lean side shows.
- Time of a script is its work alone: starting Python and importing sympy are left out (and told apart). Time of the
  product is the whole command from the outside, start included. Both lean against the product.
- Every job runs in a fresh process, in turn within a round; a figure is the median over the rounds of the ratio
  within one round, with its range. No figure compares times of different rounds.
- A round counts only if `itembank verify` accepts every package the round built. Equal inputs give equal files, so a
  package with a digest that was accepted earlier in the same run is not read a second time.

Nothing here is collected by pytest: times do not belong in tests.
"""
