// What was agreed before the first stroke, and stays with the match.

export class Setup {
  constructor(parts) {
    Object.assign(this, { id: null, competition: null, table: null }, parts);
    Object.freeze(this);
  }

  /** Read the form that the server writes. `format` is complete: null means none. */
  static fromJson(data) {
    return new Setup({
      id: data.id ?? null,
      competition: data.competition ?? null,
      table: data.table ?? null,
      entrants: [...data.entrants],
      discipline: data.discipline,
      format: { ...data.format },
      ruleSet: data.rule_set,
    });
  }

  /** Return the other entrant. */
  rival(player) {
    const [first, second] = this.entrants;
    return player === first ? second : first;
  }

  /** Return the points `colour` must make, or null where no distance was set. */
  distance(players, colour) {
    const player = players[colour];
    return player === null ? null : this.format.distance[this.entrants.indexOf(player)];
  }

  timeoutsAllowed() {
    return this.format.timeouts || 0;
  }
}
