/** Where a change belongs in tables. */
export interface ChangeDefinition {
  readonly id: string;
  readonly unit: 'mm' | 'deg';
  readonly title: string;
  readonly sentence: string;
}

const define = <const Id extends string>(id: Id, unit: ChangeDefinition['unit'], title: string, sentence: string) => ({
  id,
  unit,
  title,
  sentence,
});

/** What is measured between two scans of one instrument, registered on the body alone, in the order of tables. */
export const CHANGES = [
  define(
    'neckPitch',
    'deg',
    'Neck pitch',
    "Turn of the neck's wood against the body; positive when the scroll rises towards the strings: the neck sinks, projection falls.",
  ),
  define('neckYaw', 'deg', 'Neck yaw', "Sideways turn of the neck's wood; positive when the scroll moves to the bass side."),
  define('neckRoll', 'deg', 'Neck roll', "Turn of the neck's wood about its length; positive when the treble side rises."),
  define('neckShift', 'mm', 'Neck shift', 'Shift of the neck at the joint along the body, to the treble side and upwards: x, y, z.'),
  define('neckBend', 'mm', 'Neck bend', "Change of the sagitta of the neck's back; positive when its middle moves away from the strings."),
  define(
    'heelRootRotation',
    'deg',
    'Turn at the heel root',
    'The part of the pitch that happens below the heel, in the joint or in the block.',
  ),
  define('heelBend', 'deg', 'Bend of the heel', 'The part of the pitch that bending of the heel itself explains.'),
  define(
    'blockRotation',
    'deg',
    'Turn of the upper block',
    'Turn of the upper block against the rest of the body, as ribs and back edge show it.',
  ),
  define('projectionByNeck', 'mm', 'Projection, by the neck', "What the motion of the neck's wood makes of the projection."),
  define('projectionByBoard', 'mm', 'Projection, by the board', 'What planing, replacing or warping of the board makes of it.'),
  define('projectionByArch', 'mm', 'Projection, by the arch', "Minus the change of the top's height at the bridge."),
  define('bodyResidual', 'mm', 'Change of the body', "RMS distance of the registered bodies, the scans' noise deducted."),
] as const satisfies readonly ChangeDefinition[];

export type ChangeId = (typeof CHANGES)[number]['id'];
