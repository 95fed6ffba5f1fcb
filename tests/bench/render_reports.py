"""How long a report takes and what it weighs: `python -m tests.bench.render_reports [HOW_MANY]`.

Works on a house of its own in a temporary folder. The ratio compares with the PDF library alone on
the same page, without our shared fonts, tags and finishing; seconds are those of the processor.
"""

from __future__ import annotations

import resource
import statistics
import sys
import time
from collections.abc import Callable
from typing import TYPE_CHECKING

from tests.bench.own_house import own_house

if TYPE_CHECKING:
    from assessments.reports.compose import Composed


def main(how_many: int) -> None:
    with own_house():
        measure(how_many)


def measure(how_many: int) -> None:
    from assessments.reports.compose import compose
    from assessments.reports.gather import gather
    from assessments.reports.render import render
    from tests.assessments.reports import scene
    from tests.factories import StaffFactory

    enrolment = scene.full_school(StaffFactory.create(teaches=True).account)
    composed = compose(gather(enrolment))
    first = seconds(lambda: render(composed))
    before = memory_mb()
    whole = [seconds(lambda: render(compose(gather(enrolment)))) for _ in range(how_many)]
    after = memory_mb()
    ours, alone = [], []
    for _ in range(how_many):  # in turns, so that both meet the same machine
        ours.append(seconds(lambda: render(composed)))
        alone.append(seconds(lambda: library_alone(composed)))
    pdf = render(composed)
    ratio = statistics.median(ours) / statistics.median(alone)
    lines = [
        f"first report of a process   {first:7.2f} s",
        f"a report, warm              {statistics.median(whole):7.2f} s, median of {how_many}",
        f"  of which the PDF          {statistics.median(ours):7.2f} s",
        f"PDF to the library alone    {ratio:7.2f}",
        f"size                        {len(pdf.content) / 1000:7.0f} kB, {pdf.pages} pages",
        f"memory                      {after:7.0f} MB, {after - before:+.0f} over {how_many}",
    ]
    sys.stdout.write("\n".join(lines) + "\n")


def library_alone(composed: Composed) -> bytes:
    from weasyprint import HTML

    from assessments.reports.render import SHEETS
    from school.printing import own_files_only, stylesheets

    page = HTML(
        string=composed.html, url_fetcher=own_files_only(composed.pictures), base_url="page:/"
    )
    pdf: bytes = page.write_pdf(stylesheets=stylesheets(*SHEETS))
    return pdf


def seconds(work: Callable[[], object]) -> float:
    """Of the processor, which others on the machine do not lengthen."""
    start = time.process_time()
    work()
    return time.process_time() - start


def memory_mb() -> float:
    """The most this process has held, in MB."""
    scale = 1e6 if sys.platform == "darwin" else 1e3
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / scale


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20)
