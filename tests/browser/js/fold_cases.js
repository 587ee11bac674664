// Runs the cases of matches.json and rulings.json against the modules and says what differs.

/** Return where two JSON values differ, or null. */
export function difference(wanted, got, where = "") {
  if (wanted === got) {
    return null;
  }
  if (wanted === null || got === null || typeof wanted !== "object" || typeof got !== "object") {
    return `${where}: wanted ${JSON.stringify(wanted)}, got ${JSON.stringify(got)}`;
  }
  if (Array.isArray(wanted) !== Array.isArray(got)) {
    return `${where}: a list on one side`;
  }
  for (const name of new Set([...Object.keys(wanted), ...Object.keys(got)])) {
    const found = difference(wanted[name], got[name], `${where}.${name}`);
    if (found !== null) {
      return found;
    }
  }
  return null;
}

async function modules(base) {
  const names = ["book", "checks", "entry", "play", "preview", "said", "setup", "shown", "state"];
  const loaded = await Promise.all(names.map((name) => import(`${base}match/${name}.js`)));
  return Object.fromEntries(names.map((name, at) => [name, loaded[at]]));
}

function uuidOf(number) {
  return `00000000-0000-4000-8000-${number.toString(16).padStart(12, "0")}`;
}

/** Return one line for each case of matches.json that the fold answers otherwise. */
export async function runMatches(base, file) {
  const m = await modules(base);
  const failures = [];
  file.cases.forEach((one, number) => {
    let found;
    try {
      found = runMatch(m, file, one);
    } catch (problem) {
      found = problem.stack;
    }
    if (found !== null) {
      failures.push(`case ${number}: ${found}`);
    }
  });
  return failures;
}

function runMatch(m, file, one) {
  const written = file.setups[one.setup];
  const setup = m.setup.Setup.fromJson({
    ...written,
    discipline: file.disciplines[written.discipline],
    rule_set: file.rule_sets[written.rule_set],
  });
  const entries = [];
  let state = m.state.start(setup);
  let expected = seen(m, setup, state);
  for (const [at, step] of one.steps.entries()) {
    const here = `step ${at + 1} (${step.send.kind})`;
    const outcome = take(m, setup, entries, state, step);
    if (outcome.answer) {
      const wanted = { refused: step.refused, malformed: step.malformed };
      const found = difference(wanted, { refused: undefined, malformed: undefined, ...outcome.answer }, here);
      if (found !== null) {
        return found;
      }
      continue;
    }
    if (step.then === undefined) {
      return `${here}: taken, not refused as ${step.refused ?? step.malformed}`;
    }
    state = outcome.state;
    expected = { ...expected, ...step.then };
    const found =
      difference(expected, seen(m, setup, state), here) ??
      difference([step.changes, step.renumber], outcome.preview ?? [undefined, undefined], `${here} preview`);
    if (found !== null) {
      return found;
    }
  }
  return summedUp(m, setup, entries, one, file.columns);
}

/** Return the public state, its flags in short as the file has them. */
function seen(m, setup, state) {
  const whole = m.shown.shown(setup, state);
  const short = (flag) => [
    flag.seq,
    flag.code,
    flag.ruling && flag.ruling.reason,
    flag.counts,
    flag.settled_by,
  ];
  return { ...whole, flags: whole.flags.map(short), settled: whole.settled.map(short) };
}

function take(m, setup, entries, state, step) {
  const number = entries.length + 1;
  const book = new m.book.Book(entries);
  let ready;
  try {
    const read = m.entry.readEntry(step.send);
    const entry = read.with({ seq: number, uuid: uuidOf(number), misdated: step.misdated === true });
    ready = m.checks.prepare(setup, state, entry, book);
  } catch (problem) {
    if (problem.name === "Refused") {
      return { answer: { refused: problem.code } };
    }
    if (problem.name === "Malformed") {
      return { answer: { malformed: problem.field } };
    }
    throw problem;
  }
  let preview = null;
  if (ready.kind === "void" || ready.corrects) {
    const seen = m.preview.previewed(setup, book, ready);
    preview = [seen.changes.map(m.said.untranslated), seen.renumber];
  }
  entries.push(m.entry.Entry.fromJson(JSON.parse(JSON.stringify(ready.toJson()))));
  const after = ready.refolds
    ? m.play.fold(setup, new m.book.Book(entries))
    : m.play.append(setup, state, entries.at(-1))[0];
  return { state: after, preview };
}

function summedUp(m, setup, entries, one, columns) {
  const [state, rows] = m.play.foldRows(setup, new m.book.Book(entries));
  const wanted = { ...m.state.start(setup), ...one.state };
  const tuples = rows.map((row) => columns.map((name) => row[name]));
  const innings = m.shown
    .inningsOf(rows)
    .map((inning) => [
      inning.set,
      inning.inning,
      inning.colour,
      inning.run,
      inning.extra,
      inning.counts,
      inning.strokes.map((row) => row.seq),
    ]);
  return (
    difference(wanted, state, "state") ??
    difference(one.rows, tuples, "rows") ??
    difference(one.innings, innings, "innings")
  );
}

/** Return one line for each case of rulings.json that the validator answers otherwise. */
export async function runRulings(base, file) {
  const { rule } = await import(`${base}rules/rulings.js`);
  const { parseContacts } = await import(`${base}rules/contacts.js`);
  const failures = [];
  file.cases.forEach((one, number) => {
    const got = rule({
      discipline: file.disciplines[one.discipline],
      cueBall: one.cue_ball,
      contacts: parseContacts(one.contacts, one.cue_ball),
      opening: one.opening,
      touchingRail: one.touching_rail,
      touchingBall: one.touching_ball,
      offTable: one.off_table,
      ruleSet: file.rule_sets[one.rule_set],
    });
    const found = difference(one.answer, got);
    if (found !== null) {
      failures.push(`ruling ${number}${found}`);
    }
  });
  file.malformed.forEach(({ contacts, ...wanted }, number) => {
    let got = null;
    try {
      parseContacts(contacts, "white");
    } catch ({ field, reason }) {
      got = { field, reason };
    }
    const found = difference(wanted, got);
    if (found !== null) {
      failures.push(`malformed ${number}${found}`);
    }
  });
  return failures;
}
