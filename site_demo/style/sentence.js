/* Completes the sentence on the availability page: shows the labels that fit it, in its order, and says how many fit; the address keeps it.
   A classic script: it works from a folder as well as from a host. Without it the page shows every animal. */
(function () {
  "use strict";
  var form = document.getElementById("filter");
  if (!form) { return; }
  var result = document.getElementById("filter-result");
  var all = function (selector, inside) { return Array.prototype.slice.call((inside || document).querySelectorAll(selector)); };
  var cards = all(".card[data-sex]");
  var shelves = all(".shelf").map(function (shelf) {
    var said = shelf.querySelector(".shelf-intro");
    return { shelf: shelf, cards: all(".card", shelf), said: said, every: said.textContent };
  });
  var names = ["species", "sex", "way", "trait", "status", "price", "order"].filter(function (name) { return form[name]; });

  var sorted = "";

  function value(name) { return form[name] ? form[name].value : ""; }

  function keys(card, name) { return card.getAttribute("data-" + name) || ""; }

  /* "possible=50": possible, with at least 50 percent; without a trait any one that is so. */
  function carries(card, way, trait) {
    var asked = way.split("=");
    return keys(card, asked[0]).split(" ").some(function (key) {
      var known = key.split("=");
      return key && (!trait || known[0] === trait) && (!asked[1] || Number(known[1]) >= Number(asked[1]));
    });
  }

  function fits(card) {
    var trait = value("trait");
    var first = form.way.selectedIndex === 0;
    if (["species", "sex"].some(function (name) { return value(name) && keys(card, name) !== value(name); })) { return false; }
    if (value("status") && !card.classList.contains("state-" + value("status"))) { return false; }
    if (value("price") && !(Number(keys(card, "price") || Infinity) <= Number(value("price")))) { return false; }
    return (first && !trait) || value("way").split(" ").some(function (way) { return carries(card, way, trait); });
  }

  function inOrder(list) {
    var order = value("order");
    var rank = function (card) {
      return order === "price" ? Number(keys(card, order) || Infinity) : order ? card.querySelector(".id").textContent : 0;
    };
    list.slice().sort(function (a, b) {
      var one = rank(a), other = rank(b);
      return one < other ? -1 : one > other ? 1 : cards.indexOf(a) - cards.indexOf(b);
    }).forEach(function (card) { card.parentNode.appendChild(card); });
  }

  function show() {
    var shown = 0;
    shelves.forEach(function (one) {
      var here = one.cards.filter(function (card) { card.hidden = !fits(card); return !card.hidden; }).length;
      one.shelf.hidden = !here;
      one.said.textContent = here === one.cards.length ? one.every : here + " of " + one.every;
      shown += here;
    });
    if (value("order") !== sorted) {
      sorted = value("order");
      shelves.forEach(function (one) { inOrder(one.cards); });
    }
    result.textContent = shown === 0
      ? "None here now. Ask us: the next clutch may bring one."
      : shown === cards.length ? "All " + cards.length + " of them." : shown + " of " + cards.length + ".";
  }

  function sentence() {
    return names.filter(function (name) { return form[name].selectedIndex > 0; }).map(function (name) {
      return name + "=" + encodeURIComponent(form[name].value);
    }).join("&");
  }

  function recall() {
    var kept = {};
    location.hash.slice(1).split("&").forEach(function (pair) {
      var at = pair.indexOf("=");
      try { kept[pair.slice(0, at)] = decodeURIComponent(pair.slice(at + 1)); } catch (ignored) { return; }
    });
    names.forEach(function (name) {
      form[name].selectedIndex = Math.max(0, all("option", form[name]).map(function (option) { return option.value; }).indexOf(kept[name]));
    });
    show();
  }

  form.hidden = false;
  form.addEventListener("change", function () { show(); location.hash = sentence(); });
  form.addEventListener("submit", function (event) { event.preventDefault(); });
  window.addEventListener("hashchange", recall);
  recall();
}());
