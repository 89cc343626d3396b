// The named machines of a person: kept on the shelf, made from what stands in
// the job, changed by a patch of a trial plate.

import { fieldAt, fieldsOf, readOf, standing } from './schema.js';
import { isPresetList } from './shelf.js';
import { jobOf } from './state.js';

/** The named machines on the shelf: [{name, machine}]. */
export function keptMachines(shelf) {
  return shelf.read('machines', isPresetList, []);
}

/** Keeps a list of named machines; false when it could not be kept. */
export function keepMachines(shelf, list) {
  return shelf.write('machines', list);
}

/** The list with these machines in it; one of the same name gives way. */
export function withMachines(list, machines) {
  return [...list.filter((one) => !machines.some((other) => other.name === one.name)), ...machines.map((machine) => ({ name: machine.name, machine }))];
}

/** Fields of a machine from which a job's bead starts: {name, startsAs}. */
export function startFields(schema) {
  return (schema.machineFields ?? []).filter((field) => field.startsAs);
}

/** The machine as it stands in the job, with the job's bead as its usual one. */
export function machineNow(state, name) {
  const now = (path) => {
    const field = fieldAt(state.schema.fields, path);
    return field && standing(field, jobOf(state), readOf(state.piece)).value;
  };
  const machine = Object.fromEntries(fieldsOf(state.schema.fields, 'machine').map((field) => [field.path.slice('machine.'.length), now(field.path)]));
  for (const { name: key, startsAs } of startFields(state.schema)) {
    const value = now(startsAs);
    if (value !== 0 || !fieldAt(state.schema.fields, startsAs).zero) machine[key] = value; // a 0 with a meaning of its own is no measure
  }
  return { ...machine, name };
}
