// What people call the things that a machine map names by keys.

/** @typedef {import("./api.js").Schemas["MachineMap"]} MachineMap */

/** What people call a component of the machine map; a plain name stays.
 * @param {MachineMap | null} map @param {string} key */
export function nameOf(map, key) {
  const found = [...(map?.components ?? []), ...(map?.groups ?? []), ...(map?.assemblies ?? []), ...(map?.compartments ?? [])].find((c) => c.key === key);
  return found?.name ?? key;
}

/** The components of the map that a finding is about: its component and its
 * members may each name a component, a group, an assembly or a compartment.
 * @param {MachineMap | null} map @param {{ component: string, members?: string[] }} finding @returns {string[]} */
export function membersOf(map, finding) {
  return [finding.component, ...(finding.members ?? [])].flatMap((name) => {
    const group = map?.groups?.find((g) => g.key === name)?.members;
    const inside = (map?.components ?? []).filter((c) => c.in === name || c.assembly === name).map((c) => c.key ?? "");
    return group ?? (inside.length > 0 ? inside : [name]);
  });
}

/** Parts in the order in which somebody at this bench will want to write of them:
 * what the next looks show, then what came off by the steps that are done, then
 * what comes off by the others, in the map's order.
 * @param {import("./bench.js").Gathered} all @returns {Map<string, number>} */
export function orderOf({ job, map, spread }) {
  const steps = map?.steps ?? [];
  const done = (/** @type {{ key?: string }} */ s) => job.steps_done.includes(s.key ?? "");
  const keys = [
    ...(spread?.next ?? []).flatMap((n) => n.sees),
    ...steps.filter(done).flatMap((s) => s.takes_off ?? []),
    ...steps.filter((s) => !done(s)).flatMap((s) => s.takes_off ?? []),
  ];
  return new Map([...new Set(keys)].map((key, i) => [key, i]));
}
