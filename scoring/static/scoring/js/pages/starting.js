// Shows in the empty fields of a new match what the chosen format and discipline say.

const NUMBERS = ['innings_limit', 'sets_to_win', 'shot_seconds', 'timeouts'];
const form = document.getElementById('match-form');
const read = (id) => JSON.parse(document.getElementById(id).textContent);
const presets = read('presets');
const disciplines = read('disciplines');

function show() {
  const says = { ...disciplines[form.elements.discipline.value], ...presets[form.elements.preset.value] };
  const hints = { distance_a: says.distance?.[0], distance_b: says.distance?.[1] };
  for (const name of NUMBERS) hints[name] = says[name];
  for (const [name, value] of Object.entries(hints)) {
    form.elements[name].placeholder = value ?? 0;
  }
}

form.elements.discipline.addEventListener('change', show);
form.elements.preset.addEventListener('change', show);
show();
