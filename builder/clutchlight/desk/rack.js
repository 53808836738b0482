/* Writes lines of notes at the rack, for `log --from`: without a network, kept in this browser until somebody says that they arrived.
   A classic script inside the file for the phone. Without it the page shows what it knows. */
(function () {
  "use strict";
  var parts = document.getElementById("enter-parts");
  if (!parts || !parts.content || !window.HTMLDialogElement) { return; }
  var body = document.body;
  body.appendChild(parts.content.cloneNode(true));
  body.classList.add("with-bar");

  var dialog = document.getElementById("enter");
  var one = function (selector, inside) { return (inside || dialog).querySelector(selector); };
  var all = function (selector, inside) { return Array.prototype.slice.call((inside || document).querySelectorAll(selector)); };
  var room = parts.getAttribute("data-room");
  var factor = Number(parts.getAttribute("data-factor")), oddDays = Number(parts.getAttribute("data-days"));
  var heading = one("h2"), daily = one("[name=day]"), find = one("[name=find]"), order = one("[name=order]");
  var status = one("[role=status]"), text = one("[name=text]");
  var subjects = all("[data-id]").map(function (element) {
    var found = { id: element.getAttribute("data-id") };
    ["name", "sex", "species", "last", "grams", "weighed", "prey", "mates"].forEach(function (key) {
      found[key] = element.getAttribute("data-" + key) || "";
    });
    return found;
  });
  var byId = {};
  subjects.forEach(function (subject) { byId[subject.id] = subject; });
  var present = null, view = "animals";

  /* ---- what is kept */

  var kept = true, memory = {};

  function read(what) {
    var raw = memory[what];
    try { raw = localStorage.getItem("clutchlight-" + what + "-" + room) || raw; } catch (refused) { kept = false; }
    try { return JSON.parse(raw || "[]"); } catch (broken) { return []; }
  }

  function keep(what, value) {
    memory[what] = JSON.stringify(value);
    try { localStorage.setItem("clutchlight-" + what + "-" + room, memory[what]); } catch (refused) { kept = false; }
  }

  /* Reads anew before each change, since the page may be open twice. */
  function change(how) {
    var entries = read("entries");
    entries = how(entries) || entries;
    keep("entries", entries);
    show();
  }

  function waiting() { return read("entries").filter(function (entry) { return !entry.handed; }); }

  function iso(day) {
    var two = function (number) { return (number < 10 ? "0" : "") + number; };
    return day.getFullYear() + "-" + two(day.getMonth() + 1) + "-" + two(day.getDate());
  }

  function dayWords(day) {
    var at = day.split("-").map(Number);
    return new Date(at[0], at[1] - 1, at[2]).toLocaleDateString("en-GB", { weekday: "long", day: "numeric", month: "long" });
  }

  function plain(typed) { return typed.replace(/\s+/g, " ").trim(); }

  /* ---- lines */

  function called(subject) { return subject.name ? subject.name + " (" + subject.id + ")" : subject.id; }

  function add(words, value, partner) {
    var note = one("[name=note]"), said = plain(note.value), line = present.id;
    if (partner) { line += " x " + partner; }
    line += " " + words + (value ? " " + value : "");
    if (said) { line += words === "note" ? " " + said : " (" + said + ")"; }
    var day = daily.value || iso(new Date());
    walked(day);
    change(function (entries) {
      entries.push({ key: Date.now() + "-" + entries.length, of: present.id, day: day, line: line, handed: false });
    });
    note.value = "";
    return line;
  }

  /* An animal whose turn comes after another's is beside it in the rack from now on. */
  function walked(day) {
    var entries = read("entries"), last = entries[entries.length - 1];
    if (!last || last.of === present.id || last.day !== day) { return; }
    if (entries.some(function (entry) { return entry.of === present.id && entry.day === day; })) { return; }
    var ids = inOrder().map(function (subject) { return subject.id; }).filter(function (id) { return id !== present.id; });
    ids.splice(ids.indexOf(last.of) + 1, 0, present.id);
    keep("order", ids);
  }

  function inOrder() {
    var ids = order.value === "rack" ? read("order") : [];
    var known = ids.filter(function (id) { return byId[id]; }).map(function (id) { return byId[id]; });
    return known.concat(subjects.filter(function (subject) { return ids.indexOf(subject.id) < 0; }));
  }

  function weigh() {
    var field = one("[name=grams]"), typed = plain(field.value).replace(/\s*g$/i, "").replace(",", ".");
    if (!/^[0-9]{1,6}(\.[0-9]{1,2})?$/.test(typed) || Number(typed) === 0) {
      say("Write the grams in digits, such as 1215.");
      field.focus();
      return;
    }
    var before = lastGrams();
    var line = add("weight", typed);
    var odd = before && Math.max(before, Number(typed)) > factor * Math.min(before, Number(typed));
    say("Written: " + line + (odd ? ". It was " + before + " g before: look at the digits." : ""));
    field.value = "";
  }

  /* The last weight that can be compared: entered here, else of the log and not too long ago. */
  function lastGrams() {
    var found = read("entries").map(function (entry) {
      var weight = entry.of === present.id && /^\S+ weight ([0-9.]+)/.exec(entry.line);
      return weight ? Number(weight[1]) : 0;
    }).filter(Boolean);
    if (found.length) { return found[found.length - 1]; }
    var age = (new Date(daily.value || iso(new Date())) - new Date(present.weighed)) / 86400000;
    return age <= oddDays ? Number(present.grams) : 0;
  }

  function happened(words) {
    var value = "", partner = "";
    if (words === "meal" || words === "refused") { value = plain(one("[name=prey]").value.replace(/[()]/g, " ")); }
    if (["paired", "lock", "parted", "no interest"].indexOf(words) >= 0) {
      partner = one("[name=partner]").value;
      if (!partner && (words === "paired" || words === "lock")) {
        say("Choose the other animal first.");
        one("[name=partner]").focus();
        return;
      }
    }
    say("Written: " + add(words, value, partner));
  }

  function other() {
    var figure = one("[name=figure]"), words = one("[name=event]").value;
    var typed = plain(figure.value.replace(/[()]/g, words === "note" ? "$&" : " "));
    if (words === "note" && !typed && !plain(one("[name=note]").value)) {
      say("Write the note first.");
      figure.focus();
      return;
    }
    say("Written: " + add(words, typed));
    figure.value = "";
  }

  function handOver() {
    var entries = read("entries"), days = {};
    entries.forEach(function (entry) { if (!entry.handed) { days[entry.day] = []; } });
    entries.forEach(function (entry) { if (days[entry.day]) { days[entry.day].push(entry.line); } });
    return Object.keys(days).sort().map(function (day) { return day + "\n" + days[day].join("\n") + "\n"; }).join("\n");
  }

  /* ---- what is shown */

  function say(words, remedy, act) {
    status.textContent = words;
    if (remedy) {
      var button = make("button", remedy, { type: "button" });
      button.addEventListener("click", act);
      status.appendChild(document.createTextNode(" "));
      status.appendChild(button);
    }
  }

  function make(name, words, attributes) {
    var element = document.createElement(name);
    element.textContent = words || "";
    Object.keys(attributes || {}).forEach(function (key) { element.setAttribute(key, attributes[key]); });
    return element;
  }

  function open(which, subject) {
    view = which;
    present = subject || present;
    if (!dialog.open) {
      daily.max = daily.value = iso(new Date());
      dialog.showModal();
    }
    all("[data-view]", dialog).forEach(function (part) { part.hidden = part.getAttribute("data-view") !== view; });
    heading.textContent = view === "animals" ? "Whom?" : view === "list" ? "To hand over" : called(present);
    say("");
    if (view === "animal") { prepare(); }
    show();
    one(".enter-body").scrollTop = 0;
    heading.focus();
  }

  function prepare() {
    var clutch = present.sex === "clutch", partner = one("[name=partner]"), mates = present.mates.split(" ");
    all("[data-for]", dialog).forEach(function (part) { part.hidden = part.getAttribute("data-for") !== (clutch ? "clutch" : "animal"); });
    one("[name=prey]").value = present.prey;
    ["grams", "note", "figure"].forEach(function (name) { one("[name=" + name + "]").value = ""; });
    partner.textContent = "";
    partner.appendChild(make("option", "choose", { value: "" }));
    subjects.filter(function (subject) {
      var sexes = present.sex + subject.sex;
      return subject.species === present.species && subject.id !== present.id && ["malemale", "femalefemale"].indexOf(sexes) < 0
        && subject.sex !== "clutch";
    }).sort(function (a, b) {
      return (mates.indexOf(b.id) >= 0) - (mates.indexOf(a.id) >= 0) || subjects.indexOf(a) - subjects.indexOf(b);
    }).forEach(function (subject) { partner.appendChild(make("option", called(subject), { value: subject.id })); });
    all("option", one("[name=event]")).forEach(function (option) {
      option.hidden = option.disabled = clutch && !option.hasAttribute("data-clutch");
    });
    one("[name=event]").value = clutch ? "candled" : "note";
  }

  function show() {
    var count = waiting().length;
    all("[data-count]").forEach(function (place) { place.textContent = count; });
    all("[data-not-kept]").forEach(function (place) { place.hidden = kept; });
    if (!dialog.open) { return; }
    if (view === "animals") { showAnimals(); }
    if (view === "animal") { showAnimal(); }
    if (view === "list") { showList(); }
  }

  function today(subject, entries) {
    return entries.filter(function (entry) { return entry.of === subject.id && entry.day === daily.value; });
  }

  function showAnimals() {
    var wanted = plain(find.value).toLowerCase(), list = one(".enter-animals"), entries = read("entries");
    list.textContent = "";
    inOrder().forEach(function (subject) {
      if (called(subject).toLowerCase().indexOf(wanted) < 0) { return; }
      var button = make("button", "", { type: "button" }), done = today(subject, entries);
      button.appendChild(make("b", called(subject)));
      button.appendChild(make("span", " " + subject.last));
      if (done.length) { button.appendChild(make("span", " " + done.map(function (entry) { return entry.line.slice(subject.id.length + 1); }).join("; "), { "class": "enter-done" })); }
      button.addEventListener("click", function () { open("animal", subject); });
      list.appendChild(make("li")).appendChild(button);
    });
    one("[data-none]").hidden = Boolean(list.firstChild);
  }

  function following() {
    var list = inOrder();
    return list[list.indexOf(present) + 1];
  }

  function showAnimal() {
    one("[data-last]").textContent = present.last || "Nothing in the log yet.";
    fill(one("[data-now]"), today(present, read("entries")));
    var next = following();
    one("[data-next]").hidden = !next;
    one("[data-next]").textContent = next ? "Next: " + (next.name || next.id) : "";
  }

  function fill(list, entries) {
    list.textContent = "";
    entries.forEach(function (entry) {
      var item = list.appendChild(make("li"));
      item.appendChild(make("span", entry.line));
      if (entry.handed) {
        item.appendChild(make("span", "handed over", { "class": "enter-done" }));
        return;
      }
      var correct = item.appendChild(make("button", "Correct", { type: "button", "aria-label": "Correct " + entry.line }));
      var remove = item.appendChild(make("button", "Remove", { type: "button", "aria-label": "Remove " + entry.line }));
      correct.addEventListener("click", function () { edit(item, entry); });
      remove.addEventListener("click", function () { drop(entry); });
    });
  }

  function edit(item, entry) {
    item.textContent = "";
    var line = item.appendChild(make("input", "", { "aria-label": "The line", name: "line", autocapitalize: "off", autocomplete: "off" }));
    var day = item.appendChild(make("input", "", { "aria-label": "Its day", type: "date", name: "line-day" }));
    var save = item.appendChild(make("button", "Save", { type: "button" }));
    line.value = entry.line;
    day.value = entry.day;
    function done() {
      var typed = plain(line.value);
      if (!typed || !day.value) { return; }
      change(function (entries) {
        entries.forEach(function (other) { if (other.key === entry.key) { other.line = typed; other.day = day.value; } });
      });
      say("Corrected: " + typed);
      heading.focus();
    }
    save.addEventListener("click", done);
    line.addEventListener("keydown", function (event) { if (event.key === "Enter") { done(); } });
    line.focus();
  }

  function drop(entry) {
    var at = 0;
    change(function (entries) {
      at = entries.map(function (other) { return other.key; }).indexOf(entry.key);
      return entries.filter(function (other) { return other.key !== entry.key; });
    });
    say("Removed: " + entry.line, "Put it back", function () {
      change(function (entries) { entries.splice(at, 0, entry); });
      say("It is back: " + entry.line);
      heading.focus();
    });
    heading.focus();
  }

  function showList() {
    var entries = read("entries"), list = one("[data-waiting]");
    var days = waiting().map(function (entry) { return entry.day; }).sort();
    list.textContent = "";
    days.filter(function (day, at) { return days.indexOf(day) === at; }).forEach(function (day) {
      list.appendChild(make("h3", dayWords(day)));
      fill(list.appendChild(make("ul")), waiting().filter(function (entry) { return entry.day === day; }));
    });
    text.value = handOver();
    one("[data-nothing]").hidden = days.length > 0;
    one("[data-some]").hidden = !days.length;
    one("[data-share]").hidden = !navigator.share;
    var mail = "mailto:?subject=" + encodeURIComponent("At the rack") + "&body=" + encodeURIComponent(text.value.replace(/\n/g, "\r\n"));
    one("[data-mail]").href = mail;
    one("[data-mail]").hidden = mail.length > 1800;
    one("[data-long]").hidden = mail.length <= 1800;
    var handed = entries.filter(function (entry) { return entry.handed; });
    one("[data-handed]").hidden = !handed.length;
    fill(one("[data-handed] ul"), handed);
  }

  function copied() { say("Copied. Once it is on the computer, press \"It arrived\"."); }

  function copy() {
    text.focus();
    text.select();
    var done = false;
    try { done = document.execCommand("copy"); } catch (refused) { done = false; }
    if (done) { copied(); return; }
    var otherwise = function () { say("It cannot be copied by itself here: the text is selected, so copy it by hand."); };
    if (navigator.clipboard) { navigator.clipboard.writeText(text.value).then(copied, otherwise); } else { otherwise(); }
  }

  function share() {
    navigator.share({ text: text.value }).then(function () {
      say("Shared. Once it is on the computer, press \"It arrived\".");
    }, function () { say("It was not shared. Nothing is lost: try again, or copy it."); });
  }

  /* What was handed over a week ago and more goes; the rest stays, for later entries of those days to go out together with it. */
  function arrived() {
    var week = iso(new Date(Date.now() - 7 * 86400000));
    change(function (entries) {
      entries.forEach(function (entry) { entry.handed = true; });
      return entries.filter(function (entry) { return entry.day >= week; });
    });
    say("Put aside. What you write from now on is handed over next.");
    heading.focus();
  }

  /* ---- what is pressed */

  function press(selector, act) { all(selector).forEach(function (element) { element.addEventListener("click", act); }); }

  press("[data-open]", function () { open(this.getAttribute("data-open")); });
  press("[data-close]", function () { dialog.close(); });
  press("[data-weigh]", weigh);
  press("[data-event]", function () { happened(this.getAttribute("data-event")); });
  press("[data-other]", other);
  press("[data-next]", function () { open("animal", following()); });
  press("[data-copy]", copy);
  press("[data-share]", share);
  press("[data-arrived]", arrived);
  press("[data-mail]", function () { say("Once the mail is on the computer, press \"It arrived\"."); });
  one("[name=grams]").addEventListener("keydown", function (event) { if (event.key === "Enter") { weigh(); } });
  one("[name=figure]").addEventListener("keydown", function (event) { if (event.key === "Enter") { other(); } });
  find.addEventListener("input", show);
  order.addEventListener("change", show);
  daily.addEventListener("change", show);
  dialog.addEventListener("close", show);
  window.addEventListener("storage", show);
  window.addEventListener("beforeunload", function (event) { if (!kept && waiting().length) { event.preventDefault(); } });
  keep("order", read("order"));
  show();
}());
