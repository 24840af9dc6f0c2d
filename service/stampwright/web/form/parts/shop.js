// The association's own script: it listens to the order form and keeps a basket. A real shop would send it on.

const items = document.querySelector("#items");
const empty = document.querySelector("#empty");

document.addEventListener("iron:ordered", ({ detail: { mark, digest, verdict, price } }) => {
  const item = document.createElement("li");
  const cost = price ? ` · ${price.total.toFixed(2)} ${price.currency}` : "";
  item.textContent = `${mark.name}${cost} · ${verdict} · ${digest.slice(0, 16)}`;
  item.dataset.digest = digest;
  items.append(item);
  empty.hidden = true;
});
