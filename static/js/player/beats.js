// Beats of the played bars, in seconds of the timeline, from the metre of the score's outline.
//
// 6/8, 9/8, 12/8 are counted in dotted beats. A short bar counts to its end if it is an upbeat
// (it carries no printed number, or begins a movement), else from its start.

export function beatsOf(timeline, bars = [], movements = []) {
  const metre = (index) => {
    const [beats, unit] = String(bars[index]?.time ?? "0/4").split("/").map(Number);
    if (!beats) return { count: 0, unit, beats };
    return { count: unit >= 8 && beats > 3 && beats % 3 === 0 ? beats / 3 : beats, unit, beats };
  };
  const opens = new Set(movements.map((m) => m.first));
  const played = timeline.bars.map((bar) => ({ ...metre(bar.index), start: bar.start, end: bar.end, index: bar.index }));
  return played.map((bar, i) => {
    if (!bar.count) return { count: 0, length: 0, beats: [], down: null };
    // A bar alone does not tell that it is short: a neighbour of the same metre does.
    const near = [played[i + 1], played[i - 1]].filter((b) => b && b.beats === bar.beats && b.unit === bar.unit);
    const full = Math.max(bar.end - bar.start, ...near.map((b) => b.end - b.start));
    const own = bar.end - bar.start;
    const short = own < 0.9 * full;
    const upbeat = short && (opens.has(bar.index) || bars[bar.index]?.implicit);
    const length = (short ? full : own) / bar.count;
    const beats = [];
    for (let n = 0; n < bar.count; n += 1) {
      const at = upbeat ? bar.end - (n + 1) * length : bar.start + n * length;
      if (at > bar.start - 0.01 && at < bar.end - 0.01) beats.push(at);
    }
    beats.sort((a, b) => a - b);
    return { count: bar.count, length, beats, down: upbeat ? null : bar.start };
  });
}
