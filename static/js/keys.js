// A key that is made once and stays the same, so that a message sent twice is one message.
// crypto.randomUUID exists only under HTTPS or on this machine; these bytes exist everywhere.
export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((b) => b.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

export function freshKeys() {
  for (const field of document.querySelectorAll("[data-fresh-key]")) field.value = newKey();
}

// A form that comes into the page later is given its key when it comes.
document.addEventListener("htmx:afterSwap", ({ target }) => {
  for (const field of target.querySelectorAll("[data-fresh-key]")) field.value ||= newKey();
});
