// The page around the desk: letters of a readable size, keys for a hand without a keyboard, swipes, and a way back.
"use strict";

const SIZES = { usual: 18, least: 12, most: 32, kept: "arclore-letters" };

// The terminal comes from a bundle that keeps its object to itself; its first assignment of this name gives it away.
Object.defineProperty(Object.prototype, "websocket_url", {
  configurable: true,
  set(value) {
    delete Object.prototype.websocket_url;
    this.websocket_url = value;
    window.desk = this;
  },
});

history.replaceState(null, "", location.pathname); // the bundle would ask any host that a query names

// A link in a text opens nothing; a page that the desk hands over is taken as a download from this host.
window.open = (address) => {
  const place = new URL(address || "", location.href).pathname;
  if (place.startsWith("/download/")) {
    const link = document.createElement("a");
    link.href = place.slice(1);
    link.download = "";
    link.click();
  }
  return null;
};

function letters() {
  const kept = Number(localStorage.getItem(SIZES.kept));
  return kept >= SIZES.least && kept <= SIZES.most ? kept : SIZES.usual;
}

function resize(by) {
  const size = Math.min(Math.max(letters() + by, SIZES.least), SIZES.most);
  localStorage.setItem(SIZES.kept, size);
  desk.terminal.options.fontSize = size;
  desk.fit();
}

function showKeyboard(shown) {
  const field = document.querySelector(".xterm-helper-textarea");
  field.inputMode = shown ? "text" : "none"; // a keyboard of keys is not affected
  document.getElementById("keyboard").setAttribute("aria-pressed", shown);
  field.blur();
  field.focus();
}

function wheel(touch, down) {
  const about = { deltaY: down, deltaMode: WheelEvent.DOM_DELTA_LINE, clientX: touch.clientX, clientY: touch.clientY };
  touch.target.dispatchEvent(new WheelEvent("wheel", { ...about, bubbles: true, cancelable: true }));
}

// A swipe scrolls what is under the finger, as a wheel would.
function followSwipes(place) {
  let from = 0;
  place.addEventListener("touchstart", (event) => { from = event.touches[0].clientY; }, { passive: true });
  place.addEventListener("touchmove", (event) => {
    const touch = event.touches[0];
    const row = place.clientHeight / desk.terminal.rows;
    for (; Math.abs(from - touch.clientY) >= row; from -= row * Math.sign(from - touch.clientY)) {
      wheel(touch, Math.sign(from - touch.clientY));
    }
  }, { passive: true });
}

function prepare() {
  const place = document.getElementById("terminal");
  const scheme = location.protocol === "https:" ? "wss:" : "ws:";
  place.dataset.sessionWebsocketUrl = `${scheme}//${location.host}${new URL("ws", location.href).pathname}`;
  place.dataset.fontSize = letters();
  document.getElementById("again").addEventListener("click", () => location.reload());
  document.getElementById("keyboard").addEventListener("click", (event) =>
    showKeyboard(event.target.getAttribute("aria-pressed") !== "true"));
  for (const button of document.querySelectorAll("nav button")) {
    button.addEventListener("mousedown", (event) => event.preventDefault()); // the desk keeps the focus
    button.addEventListener("click", () => {
      if (button.dataset.keys) desk.terminal.input(button.dataset.keys);
      if (button.dataset.size) resize(Number(button.dataset.size));
    });
  }
}

function begun() {
  desk.terminal.options.theme = { background: "#ffffff", foreground: "#0a0a0a" };
  showKeyboard(false);
  followSwipes(document.getElementById("terminal"));
  const seen = window.visualViewport;
  seen.addEventListener("resize", () => { // an on-screen keyboard takes its part of the page
    document.body.style.height = `${seen.height}px`;
    desk.fit();
  });
}

window.addEventListener("DOMContentLoaded", () => {
  prepare();
  const start = window.onload; // the bundle's own: it measures letters, so they must be there first
  window.onload = async (event) => {
    const wanted = ["", "bold ", "italic "].map((style) => document.fonts.load(`${style}16px "Roboto Mono"`));
    await Promise.allSettled(wanted);
    start(event);
    desk.socket.addEventListener("open", begun);
  };
});
