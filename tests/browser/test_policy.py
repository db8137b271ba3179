"""The content security policy holds on a page that was opened from a disk."""

from tests.browser.conftest import Opener

TRY = """
async () => {
  const broken = [];
  document.addEventListener("securitypolicyviolation", e => broken.push(e.effectiveDirective));
  const script = document.createElement("script");
  script.textContent = "window.ranInline = true";
  document.body.append(script);
  const button = document.createElement("button");
  button.setAttribute("onclick", "window.ranHandler = true");
  document.body.append(button);
  button.click();
  const style = document.createElement("style");
  style.textContent = "body { color: red }";
  document.head.append(style);
  const image = new Image();
  image.src = "http://127.0.0.1:9/x.png";
  document.body.append(image);
  const frame = document.createElement("iframe");
  frame.src = "care.html";
  document.body.append(frame);
  try { await fetch("readings.json"); } catch (error) { broken.push("fetch"); }
  for (let n = 0; n < 300 && !broken.includes("frame-src"); n++)
    await new Promise(done => setTimeout(done, 100));
  return [[...new Set(broken)].sort(), Boolean(window.ranInline), Boolean(window.ranHandler)];
}
"""


def test_nothing_inline_nothing_from_outside_and_no_request_by_script(opened: Opener) -> None:
    seen = opened("recipient")
    page = seen.go("index.html")
    assert seen.complaints == []
    broken, inline, handler = page.evaluate(TRY)
    assert not inline
    assert not handler
    assert set(broken) >= {
        "script-src-elem",
        "script-src-attr",
        "style-src-elem",
        "img-src",
        "frame-src",
        "connect-src",
        "fetch",
    }
    assert seen.complaints, "the browser itself reports every attempt"
    seen.complaints.clear()
