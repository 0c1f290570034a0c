/* What the definition's words are called on the page: [label, unit or null, help]. A word that is not
   here is called as the file has it. Units that stand in a word's own name are found by `unitOf`. */
const WORDS = {
  // the tape
  unit: ["Unit"], graduation: ["Finest mark", null, "The smallest step that you read, such as 1/16 or 1."],
  accuracy: ["Accuracy", null, "Printed on the tape: class I, II or III. HB44 is a tape without one."],
  from_hook: ["Readings start at the hook"],
  gauge_deg: ["A bevel gauge may be out by", "°"], level_deg: ["A level may be out by", "°"],
  // carcases
  name: ["Name"], view: ["Seen from"], width: ["Width"], board: ["Board"], corners: ["Corners"],
  ends: ["Ends of boards that are seen"], set_back: ["Set back"], missing: ["Missing"], short: ["Stops short of"],
  stands_on: ["Stands on"], carcase: ["Carcase"], edge: ["Edge"], offset: ["Offset"], across: ["Across"],
  square: ["Square corners"], reflex: ["Corners over 180° inside"], about: ["Rough lengths"],
  rise: ["Rise at the middle"], radius: ["Radius"], points: ["Points along it and off it"],
  tangent: ["Runs on without a corner at"], hollow: ["Hollow"], turn: ["Turn", "°"], at: ["Place"],
  bevel: ["Bevel"], angle: ["Angle", "°"], round: ["Round"], end: ["End of the board"], moulding: ["Moulding covers"],
  // colours
  paint: ["Colour"], letter: ["Letter", null, "Its pieces are called by it: C1, C2, C3."], label: ["On the can"],
  volume_solids_percent: ["Solids by volume"], dry_film_um: ["Dry film of one coat"], coats: ["Coats"],
  recoat_hours: ["From coat to coat"], dry_hours: ["Dry to be masked over"], method: ["Sprayed or brushed"],
  base: ["Base coat"], passes: ["Order of passes"],
  // painting days
  start: ["First day"], done: ["Finished already", null, "Such as: base coat 2027-05-03 15:30"],
  day_starts: ["A day starts at"], hours_a_day: ["Hours a day"], days_off: ["Days off"],
  minutes_a_piece: ["Minutes for a piece"], minutes_a_face: ["Minutes for a face"], degrees: ["Degrees"],
  air: ["Air", "°"], surface: ["Surface", "°"], humidity_percent: ["Humidity"],
  slower_per_10c: ["Dries slower for 10 °C less", "times"], put_back_play: ["Play of pieces put back"],
  spray_angle_deg: ["Spray off square"], edge_bleed: ["Creeps under the edge"], waste_percent: ["Waste"],
  transfer_percent: ["Lands on the work"], gun: ["By gun", "%"], can: ["By can", "%"], brush: ["By brush", "%"],
  can_size_ml: ["A can holds"], can_covers_m2: ["A can covers"],
  // stencil board
  sheet: ["Sheet"], thickness: ["Thickness"], least_width: ["Least width of a piece"],
  least_area_mm2: ["Least area of a piece"], sharpest_deg: ["Sharpest tip"], punches: ["Tack punches"],
  diameter: ["Diameter"], length: ["Length"], tape_margin: ["Tape beyond a tack"], join_tape: ["Tape over joins"],
  reach: ["Reach of a tack"], kerf: ["Width of the cut"], paper: ["Paper"], radii: ["Radii made true to"],
  knife: ["Drag knife"], bed: ["Bed of the cutter"], depth: ["Depth"], swivel_depth: ["Depth while it swivels"],
  clearance: ["Clearance"], feed_mm_min: ["Feed", "mm a minute"], swivel_feed_mm_min: ["Feed while it swivels", "mm a minute"],
  plunge_feed_mm_min: ["Feed downwards", "mm a minute"], title: ["Title"], turned_over: ["The left set turned over does the right"],
};
const UNITS = [[/_percent$/, "%"], [/_hours$/, "hours"], [/_deg$/, "°"], [/_um$/, "µm"], [/_mm2$/, "mm²"],
  [/_ml$/, "ml"], [/_m2$/, "m²"]];
/* What a choice is called. */
const CHOICES = {
  unit: { mm: "millimetres", cm: "centimetres", m: "metres", in: "inches", ft: "feet and inches" },
  accuracy: { I: "class I", II: "class II", III: "class III", HB44: "no class (US)" },
  view: { side: "the player's right", plan: "above", front: "the front" },
  method: { gun: "gun", can: "spray can", brush: "brush" },
  degrees: { C: "Celsius", F: "Fahrenheit" },
  ends: { art: "painted with the art", base: "base coat", left: "not painted" },
  end: { art: "painted with the art", base: "base coat", left: "not painted" },
  radii: { inch: "sixteenths of an inch", mm: "half millimetres" },
  state: { removed: "off while painting", stays: "stays on" },
};

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
export const plainly = (word) => String(word).replaceAll("_", " ").replaceAll("-", " ");
export const labelOf = (word) => WORDS[word]?.[0] || capital(plainly(word));
export const helpOf = (word) => WORDS[word]?.[2] || null;
export const unitOf = (word) => WORDS[word]?.[1] || UNITS.find(([end]) => end.test(word))?.[1] || null;
export const choiceOf = (word, value) => CHOICES[word]?.[value] || plainly(value);
