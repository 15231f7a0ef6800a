/** Where a measurand belongs in tables and reports. */
export type MeasureGroup = 'board' | 'neck' | 'body' | 'secondary';

export interface MeasurandDefinition {
  readonly id: string;
  /** UCUM unit: `1` for a ratio. */
  readonly unit: 'mm' | 'deg' | '1';
  readonly group: MeasureGroup;
  /** The name that the trade uses. */
  readonly title: string;
  /** The definition in one sentence, for a glossary. */
  readonly sentence: string;
}

const define = <const Id extends string>(
  id: Id,
  unit: MeasurandDefinition['unit'],
  group: MeasureGroup,
  title: string,
  sentence: string,
) => ({ id, unit, group, title, sentence });

/** Every single-scan measurand, in the order of tables. */
export const MEASURANDS = [
  define('neckAngle', 'deg', 'board', 'Neck angle', 'How steeply the board line rises from nut to bridge over the edge plane of the top.'),
  define('projection', 'mm', 'board', 'Projection', "Height of the board line over the top's surface at the bridge station."),
  define(
    'boardEndHeight',
    'mm',
    'board',
    'Board end height',
    "Height of the board line over the top's surface at the bridge end of the board.",
  ),
  define('overstand', 'mm', 'board', 'Overstand', "Height of the board's glue line over the top's edge at the joint, mean of both sides."),
  define('overstandBass', 'mm', 'board', 'Overstand, bass side', 'Overstand on the bass side.'),
  define('overstandTreble', 'mm', 'board', 'Overstand, treble side', 'Overstand on the treble side.'),
  define(
    'boardOffset',
    'mm',
    'board',
    'Board offset at the bridge',
    "Where the board's own centreline, produced to the bridge station, passes the body's centreline; positive to the treble side.",
  ),
  define(
    'boardYaw',
    'deg',
    'board',
    'Board alignment',
    "Angle of the board's centreline to the body's, seen from the front; positive towards treble at the bridge.",
  ),
  define(
    'boardTilt',
    'deg',
    'board',
    'Board tilt',
    'Roll of the board at the joint, from its lower arrises; positive when the treble side is higher.',
  ),
  define('boardLength', 'mm', 'board', 'Board length', 'Nut front to board end, along the board line.'),
  define('boardWidthNut', 'mm', 'board', 'Board width at the nut', 'Distance of the upper arrises 2 mm from the nut.'),
  define('boardWidthEnd', 'mm', 'board', 'Board width at the end', 'Distance of the upper arrises 2 mm from the board end.'),
  define(
    'boardRadiusNut',
    'mm',
    'board',
    'Board radius at the nut',
    'Radius of the cross-section of the playing surface 10 mm from the nut.',
  ),
  define(
    'boardRadiusEnd',
    'mm',
    'board',
    'Board radius at the end',
    'Radius of the cross-section of the playing surface 10 mm from the board end.',
  ),
  define(
    'scoopBass',
    'mm',
    'board',
    'Scoop, bass side',
    'Deepest gap under a straightedge laid along the board, 4 mm in from the bass arris (scaled with the board).',
  ),
  define('scoopCentre', 'mm', 'board', 'Scoop, centre', 'Deepest gap under a straightedge laid along the middle of the board.'),
  define(
    'scoopTreble',
    'mm',
    'board',
    'Scoop, treble side',
    'Deepest gap under a straightedge laid along the board, 4 mm in from the treble arris (scaled with the board).',
  ),
  define('boardTwist', 'deg', 'board', 'Board twist', 'Roll of the board at its end minus roll at the nut, from the upper arrises.'),
  define('neckLength', 'mm', 'neck', 'Neck length', "From the nut's front edge to the joint, along the board line."),
  define('stop', 'mm', 'neck', 'Body stop', 'Distance from the joint to the bridge station, along the centreline.'),
  define('stopRatio', '1', 'neck', 'Neck to stop', 'Neck length divided by body stop.'),
  define(
    'neckThicknessNut',
    'mm',
    'neck',
    'Neck thickness at the nut',
    'Board surface to back of the neck on the centreline, at 15 % of the neck length from the nut.',
  ),
  define(
    'neckThicknessHeel',
    'mm',
    'neck',
    'Neck thickness at the heel',
    'Board surface to back of the neck on the centreline, at 65 % of the neck length from the nut.',
  ),
  define(
    'heelLean',
    'deg',
    'neck',
    'Heel lean',
    "Angle of the heel's contour to the normal of the edge plane, from 15 % to 50 % of its height; positive when the top leans to the scroll.",
  ),
  define(
    'heelBow',
    'mm',
    'neck',
    'Heel bow',
    'Greatest deviation of the same contour from its chord; positive when it bulges to the scroll.',
  ),
  define(
    'bodyLength',
    'mm',
    'body',
    'Body length',
    "From the joint to the tail end of the top's outline, along the centreline; shorter than a tape over the back.",
  ),
  define('widthUpper', 'mm', 'body', 'Upper bout width', 'Greatest width of the top in the upper bout.'),
  define('widthWaist', 'mm', 'body', 'Waist width', 'Least width of the top in the waist.'),
  define('widthLower', 'mm', 'body', 'Lower bout width', 'Greatest width of the top in the lower bout.'),
  define(
    'archHeight',
    'mm',
    'body',
    'Arch height of the top',
    "Highest point of the top on the centreline above the edge plane; leaves out the edge's thickness.",
  ),
  define('edgeFlatnessRms', 'mm', 'body', 'Edge flatness, RMS', 'RMS distance of the crest of the edge to the edge plane.'),
  define(
    'edgeFlatnessPV',
    'mm',
    'body',
    'Edge flatness, peak to valley',
    'Highest minus lowest point of the crest of the edge over the edge plane.',
  ),
  define('bedAngle', 'deg', 'secondary', 'Bed angle', "Angle of the board's glue line to the edge plane."),
  define('boardWedge', 'deg', 'secondary', 'Board wedge', 'Neck angle minus bed angle: how much the board thickens towards the bridge.'),
  define('boardEdgeNut', 'mm', 'secondary', 'Board edge at the nut', "Height of the board's side, 10 mm from the nut."),
  define('boardEdgeEnd', 'mm', 'secondary', 'Board edge at the end', "Height of the board's side, 10 mm from its end."),
  define(
    'boardFlareBass',
    'mm',
    'secondary',
    'Board flare, bass side',
    'How far the bass arris lies outside its own straight line at the board end.',
  ),
  define(
    'boardFlareTreble',
    'mm',
    'secondary',
    'Board flare, treble side',
    'How far the treble arris lies outside its own straight line at the board end.',
  ),
  define('heelHeight', 'mm', 'secondary', 'Heel height', "From the button's outer face to the board's lower arrises."),
  define('stopBass', 'mm', 'secondary', 'Stop, bass f-hole', 'Joint to the inner notch of the bass f-hole, along the centreline.'),
  define('stopTreble', 'mm', 'secondary', 'Stop, treble f-hole', 'Joint to the inner notch of the treble f-hole, along the centreline.'),
  define(
    'notchOffset',
    'mm',
    'secondary',
    'Notch offset',
    'Where the point half-way between the notches lies across the centreline; positive to the treble side.',
  ),
  define('ribHeightUpper', 'mm', 'secondary', 'Rib height, upper', "Height of the ribs at 5 % of the body's length, mean of both sides."),
  define('ribHeightLower', 'mm', 'secondary', 'Rib height, lower', "Height of the ribs at 95 % of the body's length, mean of both sides."),
  define('stringLength', 'mm', 'secondary', 'String length', "Nut's front edge to the crown of the bridge."),
  define(
    'stringAngle',
    'deg',
    'secondary',
    'String angle over the bridge',
    'Angle of the strings over the bridge, from nut over crown to saddle.',
  ),
  define('bridgeHeight', 'mm', 'secondary', 'Bridge height', "Crown of the bridge over the top's surface at its feet."),
  define(
    'bridgeLean',
    'deg',
    'secondary',
    'Bridge lean',
    "Angle of the bridge's tail-side face to the normal of the edge plane; positive towards the tail.",
  ),
  define('stringHeightBass', 'mm', 'secondary', 'String height, bass', 'Gap between board and lowest string at the board end.'),
  define('stringHeightTreble', 'mm', 'secondary', 'String height, treble', 'Gap between board and highest string at the board end.'),
] as const;

export type MeasureId = (typeof MEASURANDS)[number]['id'];

/** Definitions by id. */
export const MEASURAND: ReadonlyMap<MeasureId, MeasurandDefinition & { readonly id: MeasureId }> = new Map(
  MEASURANDS.map((m) => [m.id, m]),
);
