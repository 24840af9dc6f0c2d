"""The order form as a customer meets it in a browser: what is seen, chosen, pressed and read."""

from __future__ import annotations

import contextlib
import io

import numpy as np
from PIL import Image
from selenium.common.exceptions import NoSuchElementException, NoSuchShadowRootException, StaleElementReferenceException
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.support.wait import WebDriverWait
from selenium_axe_python import Axe

PATIENCE_S = 20
NOT_YET = (NoSuchElementException, NoSuchShadowRootException, StaleElementReferenceException)


class Form:
    """One order form in a browser."""

    def __init__(self, browser, url):
        self.browser, self.url = browser, url

    def open(self, path="/", *, wait="#mark"):
        self.browser.get(f"{self.url}{path}")
        self.browser.get_log("browser")  # what was said of the page before
        self.until(lambda: self.find(wait))
        return self

    def find(self, css):
        return self.browser.find_element(By.CSS_SELECTOR, "iron-order").shadow_root.find_element(By.CSS_SELECTOR, css)

    def all(self, css):
        return self.browser.find_element(By.CSS_SELECTOR, "iron-order").shadow_root.find_elements(By.CSS_SELECTOR, css)

    def read(self, css):
        return " ".join(found.text for found in self.all(css))

    def until(self, what):
        return WebDriverWait(self.browser, PATIENCE_S, poll_frequency=0.03, ignored_exceptions=NOT_YET).until(
            lambda _: what()
        )

    def order(self):
        """What the page's own script would be told."""
        ask = "const o = document.querySelector('iron-order').order; return {...o, mark: o.mark?.name, fonts: 0}"
        return self.browser.execute_script(ask)

    def take(self, path):
        """Choose a drawing and wait for the answer about it."""
        return self.after(lambda: self.find("#mark").send_keys(str(path)))

    def drop(self, name, content):
        """Drop a file on the form and wait for the answer about it."""
        drop = (
            "const data = new DataTransfer();"
            "data.items.add(new File([new Uint8Array(arguments[1])], arguments[2]));"
            "arguments[0].dispatchEvent(new DragEvent('drop', { dataTransfer: data, bubbles: true, cancelable: true }))"
        )
        return self.after(lambda: self.browser.execute_script(drop, self.find(".drop"), list(content), name))

    def take_refused(self, path):
        """Choose a drawing and wait for the refusal."""
        self.browser.execute_script("arguments[0].replaceChildren()", self.find(".refused"))
        self.find("#mark").send_keys(str(path))
        self.until(lambda: self.read(".refused h2"))
        return self

    def after(self, act):
        """Do something that asks anew, and wait for its answer."""
        before = self.order()["digest"]
        act()
        self.until(lambda: self.order()["digest"] not in {None, before})
        return self

    def whole(self):
        """Wait for minutes, heat and price."""
        self.until(lambda: self.order()["stamp"])
        return self

    def field(self, label):
        """The input with this label."""
        return next(self.find(f"#{each.get_attribute('for')}") for each in self.all("label[for]") if each.text == label)

    def type(self, label, text):
        """Replace what a field holds."""
        field = self.field(label)
        self.browser.execute_script("arguments[0].select?.()", field)
        field.send_keys(text)

    def unfold(self):
        """Open every group of fields."""
        self.browser.execute_script("for (const group of arguments) group.open = true", *self.all(".groups details"))

    def button(self, words):
        return next(each for each in self.all("button") if words in each.text)

    def press(self, words):
        self.browser.execute_script("arguments[0].click()", self.button(words))

    def view(self, name):
        self.browser.execute_script("arguments[0].click()", self.find(f"input[value={name}]"))

    def turning(self, name):
        """Look at the solid, and wait until it is drawn."""
        self.view(name)
        self.until(lambda: self.find("iron-solid").get_property("solid"))
        return self

    def keys(self, *keys):
        for key in keys:
            ActionChains(self.browser).send_keys(key).perform()

    def focused(self):
        """What has the focus, inside the form."""
        return self.browser.execute_script("return document.querySelector('iron-order').shadowRoot.activeElement")

    def picture(self, css):
        """Grey values of what is seen of an element, one for each pixel of the page."""
        return np.asarray(Image.open(io.BytesIO(self.find(css).screenshot_as_png)).convert("L"))

    def faults(self, *rules):
        """What axe-core finds wrong for those who listen, point badly or see little, by all its rules or some."""
        axe = Axe(self.browser)
        if not self.browser.execute_script("return typeof axe === 'object'"):
            axe.inject()
        found = axe.run(options={"runOnly": list(rules)} if rules else {})["violations"]
        return [(fault["id"], node["target"], node["failureSummary"]) for fault in found for node in fault["nodes"]]

    def console(self):
        """What the browser complains of, but for answers that are no 200, which it also tells."""
        said = [entry for entry in self.browser.get_log("browser") if entry["level"] == "SEVERE"]
        return [entry["message"] for entry in said if "the server responded with a status of" not in entry["message"]]


@contextlib.contextmanager
def looking(browser, *, scheme=None, width=None, motion=None):
    """The same browser in a dark scheme, as narrow as a phone, or for people whom moving pictures make ill."""
    features = {"prefers-color-scheme": scheme, "prefers-reduced-motion": motion}
    media = [{"name": name, "value": value} for name, value in features.items() if value]
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": media})
    if width:
        size = {"width": width, "height": 740, "deviceScaleFactor": 1, "mobile": True}
        browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
    try:
        yield
    finally:
        browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})
        browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
