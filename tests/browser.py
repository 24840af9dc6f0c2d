"""A real browser without a screen: Debian's Chromium and its driver, steered by Selenium."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile

import pytest

FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--force-device-scale-factor=1",
    "--window-size=1280,900",
)


def found_browser():
    """The browser and its driver; skips the test where there is none, and fails it where there must be one."""
    browser, driver = shutil.which("chromium"), shutil.which("chromedriver")
    if not (browser and driver):
        says = "no browser: install Debian's chromium and chromium-driver"
        if os.environ.get("CI"):
            pytest.fail(says)
        pytest.skip(says)
    return browser, driver


@contextlib.contextmanager
def browser_at_work(*more_flags, downloads=None):
    """A browser with a profile of its own; what it downloads goes to `downloads`."""
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    browser, driver = found_browser()
    options = webdriver.ChromeOptions()
    options.binary_location = browser
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    if downloads:
        options.add_experimental_option("prefs", {"download.default_directory": str(downloads)})
    with tempfile.TemporaryDirectory() as profile:
        for flag in (*FLAGS, f"--user-data-dir={profile}", *more_flags):
            options.add_argument(flag)
        found = webdriver.Chrome(options=options, service=Service(driver))
        try:
            yield found
        finally:
            found.quit()
