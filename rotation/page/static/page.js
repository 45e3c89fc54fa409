// Counts down what is timed, and looks whether the kitchen answers before a tap is sent. The page works without it.
(function () {
  "use strict";
  function words(minutes) {
    if (!minutes) return "now";
    var many = Math.abs(minutes), rest = many % 60;
    var said = many < 100 ? many + " min" : Math.floor(many / 60) + " h " + (rest < 10 ? "0" : "") + rest;
    return minutes > 0 ? "in " + said : said + " ago";
  }
  var timed = [].slice.call(document.querySelectorAll("[data-at]"));
  var begun = Date.now(), first = timed.map(function (one) { return one.getAttribute("data-wait"); });
  function count() {
    var passed = Math.floor((Date.now() - begun) / 60000);
    timed.forEach(function (one, place) {
      if (first[place] !== null) one.textContent = words(Number(first[place]) - passed);
    });
  }
  if (timed.length) setInterval(count, 5000);

  var unsent = document.getElementById("unsent");
  var alive = document.querySelector("link[rel=manifest]");
  if (!window.fetch || !unsent || !alive) return;
  document.addEventListener("submit", function (event) {
    var form = event.target;
    if (event.defaultPrevented || form.method !== "post") return;
    event.preventDefault();
    unsent.hidden = true;
    fetch(alive.href, { cache: "no-store" }).then(function () { form.submit(); }, function () {
      unsent.hidden = false;
    });
  });
})();
