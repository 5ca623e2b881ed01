#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Opens pages in a headless Chromium, as a phone, a desktop and a sheet of paper would show them, and looks.

    look.py [--keep FOLDER] PAGE...

Each page is opened at 390 and 1280 px, light and dark, and printed to A4 and Letter. Looked for: anything on the
console, any request beside the page itself, content wider than the screen or the paper, texts that overlap or
stick out of their drawing, text whose contrast to what lies behind it is under 4.5; a wall card
or bench sheet that takes a second page. --keep leaves pictures and PDFs.
Chromium is spoken to through its debugging pipe, so nothing listens on the network.
"""
import base64
import json
import os
import pathlib
import re
import subprocess
import sys
import tempfile

PHONE, DESKTOP = (390, 844), (1280, 900)
A4, LETTER = (8.27, 11.69), (8.5, 11.0)  # inches
MARGIN_MM = 14  # of @page
ONE_PAGE = ("card-", "bench-sheet-")  # files that print on one

LOOK = r"""
(() => {
  const faults = [];
  const say = (what, node) => faults.push(what + ': "' + (node.textContent || '').trim().slice(0, 60) + '"');
  const wide = document.documentElement.scrollWidth, room = ROOM;  // innerWidth of a phone grows with the content
  if (wide > room + 1) faults.push('the page is ' + wide + ' px wide on ' + room);

  // Every piece of text with the boxes that it really takes.
  const seen = node => { const s = getComputedStyle(node); return s.visibility !== 'hidden' && s.display !== 'none'; };
  const texts = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const node = walker.currentNode, parent = node.parentElement;
    if (!node.textContent.trim() || ['STYLE', 'TITLE', 'DESC', 'title', 'desc'].includes(parent.tagName)) continue;
    if (!seen(parent) || parent.closest('thead') && getComputedStyle(parent.closest('thead')).position === 'absolute')
      continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const r of range.getClientRects())
      if (r.width > 0.5) texts.push({node, parent, r, svg: parent.closest('svg')});
  }
  for (const t of texts) {
    if (t.r.right > room + 1 || t.r.left < -1) say('off the page', t.node);
    if (t.svg) {
      const b = t.svg.getBoundingClientRect();
      if (t.r.left < b.left - 1 || t.r.right > b.right + 1 || t.r.top < b.top - 2 || t.r.bottom > b.bottom + 2)
        say('out of its drawing', t.node);
    }
  }
  // Boxes of lines hold room above and below the letters: what overlaps less than that touches nothing.
  const slack = t => t.r.height * (t.svg ? 0.12 : 0.2);
  for (let i = 0; i < texts.length; ++i)
    for (let k = i + 1; k < texts.length; ++k) {
      const a = texts[i], b = texts[k];
      if (a.node === b.node) continue;
      const x = Math.min(a.r.right, b.r.right) - Math.max(a.r.left, b.r.left);
      const y = Math.min(a.r.bottom, b.r.bottom) - Math.max(a.r.top, b.r.top);
      if (x > 1 && y > Math.max(slack(a), slack(b)) * 2) say('overlaps "' + a.node.textContent.trim().slice(0, 40) + '"', b.node);
    }

  const rgb = text => { const m = text.match(/[\d.]+/g); return m ? m.map(Number) : null; };
  const linear = c => { c /= 255; return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4; };
  const light = c => 0.2126 * linear(c[0]) + 0.7152 * linear(c[1]) + 0.0722 * linear(c[2]);
  const solid = c => c && (c.length < 4 || c[3] > 0.5);
  const behind = t => {
    if (t.svg) {
      const x = (t.r.left + t.r.right) / 2, y = (t.r.top + t.r.bottom) / 2;
      for (const e of document.elementsFromPoint(x, y)) {
        if (!['rect', 'polygon'].includes(e.tagName) || e.closest('svg') !== t.svg) continue;
        const fill = getComputedStyle(e).fill;
        if (fill !== 'none' && solid(rgb(fill))) return rgb(fill);
      }
    }
    for (let e = t.parent; e; e = e.parentElement) {
      const c = rgb(getComputedStyle(e).backgroundColor);
      if (c && (c.length < 4 || c[3] > 0.5)) return c;
    }
    return rgb(getComputedStyle(document.documentElement).backgroundColor);
  };
  let least = 99;
  for (const t of texts) {
    const style = getComputedStyle(t.parent);
    const a = light(rgb(t.svg ? style.fill : style.color)), b = light(behind(t));
    const contrast = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    least = Math.min(least, contrast);
    if (contrast < 4.5) say('contrast ' + contrast.toFixed(2), t.node);
  }
  return JSON.stringify({faults, texts: texts.length, least});
})()
"""


class Browser:
    """Chromium behind its debugging pipe: commands out, answers and events in, parted by NUL."""

    def __init__(self, folder):
        to_read, self.to_write = os.pipe()
        self.from_read, from_write = os.pipe()
        command = ["chromium", "--headless=new", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
                   "--no-first-run", "--disable-background-networking", f"--user-data-dir={folder}",
                   "--remote-debugging-pipe", "about:blank"]

        def wire():
            os.dup2(to_read, 30), os.dup2(from_write, 31)
            os.dup2(30, 3), os.dup2(31, 4)

        self.process = subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
                                        stderr=subprocess.DEVNULL, close_fds=False, preexec_fn=wire)
        os.close(to_read), os.close(from_write)
        self.pending, self.number, self.events, self.session = b"", 0, [], None

    def message(self):
        while b"\0" not in self.pending:
            piece = os.read(self.from_read, 1 << 16)
            if not piece:
                raise SystemExit("look.py: chromium went away")
            self.pending += piece
        text, self.pending = self.pending.split(b"\0", 1)
        return json.loads(text)

    def call(self, method, **parameters):
        self.number += 1
        command = {"id": self.number, "method": method, "params": parameters}
        if self.session:
            command["sessionId"] = self.session
        os.write(self.to_write, json.dumps(command).encode() + b"\0")
        while True:
            answer = self.message()
            if answer.get("id") == self.number:
                if "error" in answer:
                    raise SystemExit(f"look.py: {method}: {answer['error']}")
                return answer["result"]
            self.events.append(answer)

    def open_page(self):
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        self.session = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.call(f"{domain}.enable")

    def show(self, url):
        self.events.clear()
        self.call("Page.navigate", url=url)
        while not any(e.get("method") == "Page.loadEventFired" for e in self.events):
            self.events.append(self.message())

    def close(self):
        self.session = None
        self.call("Browser.close")
        self.process.wait(timeout=20)


def noise(events, url):
    """What the page put on the console, and what it asked for beside itself."""
    faults = []
    for event in events:
        method, data = event.get("method"), event.get("params", {})
        if method == "Network.requestWillBeSent" and data["request"]["url"] != url:
            faults.append("asks for " + data["request"]["url"][:80])
        elif method in ("Runtime.consoleAPICalled", "Runtime.exceptionThrown", "Log.entryAdded"):
            faults.append("on the console: " + json.dumps(data)[:160])
    return faults


def look(browser, page, keep):
    url = page.resolve().as_uri()
    faults, counts = [], []

    def view(name, size, scheme, media="screen"):
        width, height = size
        browser.call("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1,
                     mobile=media == "screen" and width < 500)
        browser.call("Emulation.setEmulatedMedia", media=media,
                     features=[{"name": "prefers-color-scheme", "value": scheme}])
        browser.show(url)
        found = json.loads(browser.call("Runtime.evaluate", expression=LOOK.replace("ROOM", str(width)))["result"]["value"])
        faults.extend(f"{name}: {fault}" for fault in found["faults"] + noise(browser.events, url))
        counts.append(found["texts"])
        if keep:
            tall = browser.call("Page.getLayoutMetrics")["cssContentSize"]["height"]
            shot = browser.call("Page.captureScreenshot", captureBeyondViewport=True,
                                clip={"x": 0, "y": 0, "width": width, "height": tall, "scale": 1})
            (keep / f"{page.stem}-{name}.png").write_bytes(base64.b64decode(shot["data"]))
        return found["least"]

    least = min(view("phone", PHONE, "light"), view("desktop", DESKTOP, "light"),
                view("phone-dark", PHONE, "dark"), view("desktop-dark", DESKTOP, "dark"))
    for name, paper in (("a4", A4), ("letter", LETTER)):
        inner = int((paper[0] - 2 * MARGIN_MM / 25.4) * 96)
        view(f"{name}-paper", (inner, 1000), "dark", media="print")  # a dark screen prints on white
        browser.call("Emulation.setEmulatedMedia", media="")
        pdf = base64.b64decode(browser.call("Page.printToPDF", paperWidth=paper[0], paperHeight=paper[1],
                                            printBackground=True, preferCSSPageSize=False)["data"])
        if not pdf.startswith(b"%PDF-") or len(pdf) < 4000:
            faults.append(f"{name}: no PDF came out")
        pages = len(re.findall(rb"/Type ?/Page\b", pdf))
        if page.name.startswith(ONE_PAGE) and pages != 1:
            faults.append(f"{name}: {pages} pages, one hangs on the wall")
        if keep:
            (keep / f"{page.stem}-{name}.pdf").write_bytes(pdf)
    if min(counts) < 10:
        faults.append(f"hardly any text is seen ({min(counts)} pieces)")
    return faults, least


def main():
    arguments = sys.argv[1:]
    keep = None
    if arguments[:1] == ["--keep"]:
        keep, arguments = pathlib.Path(arguments[1]), arguments[2:]
        keep.mkdir(parents=True, exist_ok=True)
    bad = 0
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        browser = Browser(folder)
        browser.open_page()
        for page in map(pathlib.Path, arguments):
            faults, least = look(browser, page, keep)
            print(f"{'ok  ' if not faults else 'BAD '} {page.name}, least contrast {least:.1f}")
            for fault in faults:
                print("     " + fault)
            bad += bool(faults)
        browser.close()
    print(f"{len(arguments)} pages looked at, {bad} with faults")
    return 1 if bad or not arguments else 0


if __name__ == "__main__":
    sys.exit(main())
