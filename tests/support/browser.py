"""A real browser without a window, as the tests of printed pages use it: pages opened, looked at, printed to PDF."""

from __future__ import annotations

import base64
import importlib.util
import io
import os
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

#: without a window, an account, a network or a sandbox of its own, which root is not given
OPTIONS = (
    *("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync"),
    *("--disable-background-networking", "--disable-component-update", "--disable-dev-shm-usage"),
    "--host-resolver-rules=MAP * ~NOTFOUND",
)
_BROWSERS = ("chromium", "chromium-browser")


def what_is_missing() -> str | None:
    """Why no browser can be started here, in a few words; None if one can."""
    if importlib.util.find_spec("selenium") is None:
        return "selenium is not installed"
    if not any(map(shutil.which, _BROWSERS)):
        return "no Chromium found"
    if shutil.which("chromedriver") is None:
        return "no chromedriver found"
    return None


class Browser:
    """A running browser."""

    def __init__(self, driver: Any):
        self.driver = driver

    def open(self, page: Path, width: int = 1000, media: str = "") -> None:
        """Opens a page in a window of so many CSS pixels, as a screen shows it or ("print") as paper does."""
        self.driver.execute_cdp_cmd(
            "Emulation.setDeviceMetricsOverride",
            {"width": width, "height": 1200, "deviceScaleFactor": 1, "mobile": width < 600},
        )
        self.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": media})
        self.driver.get(page.as_uri())

    def ask(self, script: str, *arguments: Any) -> Any:
        """What a script returns on the page that is open."""
        return self.driver.execute_script(script, *arguments)

    def violations(self, within: str = "body") -> list[str]:
        """What axe-core finds fault with on the page that is open, or within an element: rule, and the first element.

        Contrast is left out, which takes minutes on a long page: a test holds every page to black on white.
        """
        import axe_core_python

        axe = (Path(axe_core_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
        self.ask(axe)
        # what passes is not told, no page has a frame, and nothing is to be fetched: half the time on a long page
        options = {
            "rules": {"color-contrast": {"enabled": False}},
            "resultTypes": ["violations"],
            **dict.fromkeys(("selectors", "iframes", "preload"), False),
        }
        found = self.driver.execute_async_script(
            "axe.run(arguments[0], arguments[1]).then(arguments[2])", within, options
        )
        return [f"{one['id']}: {one['nodes'][0]['html'][:200]}" for one in found["violations"]]

    def complaints(self) -> list[str]:
        """What the console has said since this was last asked."""
        return [one["message"] for one in self.driver.get_log("browser")]

    def printed(self) -> io.BytesIO:
        """The page that is open as a PDF, on the paper that it asks for."""
        made: Mapping[str, str] = self.driver.execute_cdp_cmd(
            "Page.printToPDF", {"preferCSSPageSize": True, "printBackground": False, "displayHeaderFooter": False}
        )
        return io.BytesIO(base64.b64decode(made["data"]))


@contextmanager
def running_browser() -> Iterator[Browser]:
    """A browser with an empty profile in a folder of its own, gone afterwards."""
    from selenium.webdriver import Chrome, ChromeOptions
    from selenium.webdriver.chrome.service import Service

    folder = tempfile.mkdtemp(prefix="fitment-browser-")
    options = ChromeOptions()
    options.binary_location = next(found for name in _BROWSERS if (found := shutil.which(name)))
    for option in (*OPTIONS, f"--user-data-dir={folder}"):
        options.add_argument(option)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    driver = Chrome(options=options, service=Service(shutil.which("chromedriver"), log_output=os.devnull))
    try:
        yield Browser(driver)
    finally:
        driver.quit()
        shutil.rmtree(folder, ignore_errors=True)
