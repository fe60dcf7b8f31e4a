// What people call the things that a machine map names by keys.

/** @typedef {import("./api.js").Schemas["MachineMap"]} MachineMap */

/** What people call a component of the machine map; a plain name stays.
 * @param {MachineMap | null} map @param {string} key */
export function nameOf(map, key) {
  const found = [...(map?.components ?? []), ...(map?.groups ?? []), ...(map?.assemblies ?? []), ...(map?.compartments ?? [])].find((c) => c.key === key);
  return found?.name ?? key;
}
