/** A stretch of time as people say it. */

/** From minutes: "40 s", "12 min", "3 h 20 min", "5 d 3 h". */
export function duration(minutes: number): string {
  if (minutes < 1.5) return `${Math.max(1, Math.round(60 * minutes))} s`;
  const whole = Math.round(minutes);
  if (whole < 60) return `${whole} min`;
  const [days, hours, rest] = [Math.floor(whole / 1440), Math.floor((whole % 1440) / 60), whole % 60];
  return days > 0 ? `${days} d ${hours} h` : `${hours} h ${rest} min`;
}
