/* Completes the sentence on the availability page: shows the labels that fit it, keeps it in the address, says how many fit.
   A classic script: it works from a folder as well as from a host. Without it the page shows every animal. */
(function () {
  "use strict";
  var form = document.getElementById("filter");
  if (!form) { return; }
  var result = document.getElementById("filter-result");
  var cards = Array.prototype.slice.call(document.querySelectorAll(".card[data-sex]"));
  var shelves = Array.prototype.slice.call(document.querySelectorAll(".shelf"));
  var names = ["species", "sex", "way", "trait"];

  function has(card, list, key) {
    return (" " + card.getAttribute("data-" + list) + " ").indexOf(" " + key + " ") >= 0;
  }

  function fits(card) {
    var trait = form.trait.value;
    var lists = form.way.value.split(" ");
    if (form.species.value && !has(card, "species", form.species.value)) { return false; }
    if (form.sex.value && !has(card, "sex", form.sex.value)) { return false; }
    return lists.some(function (list) {
      return trait ? has(card, list, trait) : card.getAttribute("data-" + list) !== "" || lists.length === 4;
    });
  }

  function show() {
    var shown = 0;
    cards.forEach(function (card) {
      card.hidden = !fits(card);
      if (!card.hidden) { shown += 1; }
    });
    shelves.forEach(function (shelf) { shelf.hidden = !shelf.querySelector(".card:not([hidden])"); });
    result.textContent = shown === 0
      ? "None here now. Ask us: the next clutch may bring one."
      : shown === cards.length ? "All " + cards.length + " of them." : shown + " of " + cards.length + ".";
  }

  function remember() {
    var words = names.filter(function (name) { return form[name].selectedIndex > 0; }).map(function (name) {
      return name + "=" + encodeURIComponent(form[name].value);
    });
    try { history.replaceState(null, "", words.length ? "#" + words.join("&") : location.pathname + location.search); } catch (ignored) { return; }
  }

  function recall() {
    location.hash.slice(1).split("&").forEach(function (pair) {
      var at = pair.indexOf("=");
      var field = at > 0 && names.indexOf(pair.slice(0, at)) >= 0 ? form[pair.slice(0, at)] : null;
      if (!field) { return; }
      var value;
      try { value = decodeURIComponent(pair.slice(at + 1)); } catch (ignored) { return; }
      for (var index = 0; index < field.options.length; index += 1) {
        if (field.options[index].value === value) { field.selectedIndex = index; }
      }
    });
  }

  recall();
  form.hidden = false;
  form.addEventListener("change", function () { show(); remember(); });
  form.addEventListener("submit", function (event) { event.preventDefault(); });
  show();
}());
