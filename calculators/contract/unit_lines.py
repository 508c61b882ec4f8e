"""The units of the trade, as data: definitions for pint, and the spellings a shop writes.

Definitions are a list of lines and not a file, because a package inside an archive (the page) has no files
beside it, and because a small registry starts some hundred times faster than pint's own.
Names follow pint's default registry, so that a quantity made there is understood here.
Conversions are exact by definition (international yard and pound, 1959; US gallon 231 cubic inches;
standard gravity 9.80665 m/s²) or, for the Btu and the inch of mercury, conventional values: NIST SP 811, App. B.
"""

DEFINITIONS = """
kilo- = 1000 = k-
mega- = 1000000 = M-
centi- = 0.01 = c-
milli- = 0.001 = m-
micro- = 0.000001 = µ- = μ- = u-
pi = 3.141592653589793 = π
meter = [length] = m = metre
second = [time] = s
gram = [mass] = g
kelvin = [temperature]; offset: 0 = K
radian = [] = rad
degree_Celsius = kelvin; offset: 273.15 = °C = degC
degree_Fahrenheit = 5 / 9 * kelvin; offset: 233.15 + 200 / 9 = °F = degF
degree = pi / 180 * radian = deg
turn = 2 * pi * radian
percent = 0.01 = %
inch = 0.0254 * meter = in
thou = 0.001 * inch = _ = mil
foot = 12 * inch = ft
yard = 3 * foot = yd
mile = 5280 * foot = mi
minute = 60 * second = min
hour = 60 * minute = h
newton = kilogram * meter / second ** 2 = N
pascal = newton / meter ** 2 = Pa
joule = newton * meter = J
watt = joule / second = W
bar = 100000 * pascal
liter = 0.001 * meter ** 3 = L = l = litre
cubic_centimeter = 0.000001 * meter ** 3 = cc
gallon = 231 * inch ** 3 = gal
quart = gallon / 4 = qt
pint = gallon / 8 = pt
fluid_ounce = gallon / 128 = floz
pound = 0.45359237 * kilogram = lb
ounce = pound / 16 = oz
standard_gravity = 9.80665 * meter / second ** 2 = g_0
force_pound = pound * standard_gravity = lbf = pound_force
kilogram_force = kilogram * standard_gravity = kgf = force_kilogram
foot_pound = foot * force_pound = ft_lb
pound_force_per_square_inch = force_pound / inch ** 2 = psi
inch_Hg = 3386.389 * pascal = inHg
stokes = 0.0001 * meter ** 2 / second = St
british_thermal_unit = 1055.05585262 * joule = Btu
thousand_kilometer = 1000 * kilometer
thousand_mile = 1000 * mile
""".strip().splitlines()

# A kind of entry, then its units: symbol | expression in pint | system | spellings in lower case, without
# spaces, points, hyphens, middle dots and brackets. The symbol itself is always a spelling.
KINDS = """
length
    mm    | millimeter | metric | millimeter millimeters millimetre millimetres
    in    | inch       | inch   | " inch inches
    cm    | centimeter | metric | centimeter centimeters centimetre centimetres
    m     | meter      | metric | meter meters metre metres
    µm    | micrometer | metric | um micron microns micrometer micrometers micrometre micrometres
    thou  | thou       | inch   | thousandth thousandths
    ft    | foot       | inch   | ' foot feet
diameter
    mm    | millimeter | metric | millimeter millimeters millimetre millimetres
    in    | inch       | inch   | " inch inches
    cm    | centimeter | metric |
pitch
    mm    | millimeter | metric | millimeter millimeters millimetre millimetres
    TPI   | 1/inch     | inch   | threadsperinch threads/in threads/inch
    in    | inch       | inch   | " inch inches
distance
    km    | kilometer  | metric | kms kilometer kilometers kilometre kilometres
    mi    | mile       | inch   | mile miles
wear
    mm/km            | millimeter / kilometer            | metric |
    in/mi            | inch / mile                       | inch   | in/mile
    mm per 1000\xa0km  | millimeter / thousand_kilometer   | metric |
    in per 1000\xa0mi  | inch / thousand_mile              | inch   |
area
    mm²   | millimeter ** 2 | metric | mm^2 sqmm
    in²   | inch ** 2       | inch   | in^2 sqin
    cm²   | centimeter ** 2 | metric | cm^2 sqcm
volume
    mL        | milliliter        | metric | milliliter milliliters millilitre millilitres
    US fl oz  | fluid_ounce       | inch   | floz fluidounce fluidounces oz
    L         | liter             | metric | liter liters litre litres
    cm³       | cubic_centimeter  | metric | cc ccm cm^3
    US pt     | pint              | inch   | pt pint pints uspint uspints
    US qt     | quart             | inch   | qt quart quarts usquart usquarts
    US gal    | gallon            | inch   | gal gallon gallons
    in³       | inch ** 3         | inch   | in^3 cuin
mass
    kg    | kilogram   | metric | kilogram kilograms kilo kilos
    lb    | pound      | inch   | lbs pound pounds
    g     | gram       | metric | gram grams
    oz    | ounce      | inch   | ounce ounces
force
    N     | newton         | metric | newton newtons
    lbf   | force_pound    | inch   | lb lbs pound pounds
    kN    | kilonewton     | metric | kilonewton kilonewtons
    kgf   | kilogram_force | metric | kp
weight
    kg    | kilogram   | metric | kilogram kilograms kilo kilos
    lb    | pound      | inch   | lbs pound pounds
    N     | newton / standard_gravity | metric | newton newtons
    kN    | kilonewton / standard_gravity | metric | kilonewton
torque
    N·m     | newton * meter         | metric | nm newtonmeter newtonmeters newtonmetre newtonmetres
    lbf·ft  | force_pound * foot     | inch   | lbft lbsft ftlb ftlbs ftlbf footpound footpounds poundfoot poundfeet
    lbf·in  | force_pound * inch     | inch   | lbin lbsin inlb inlbs inlbf inchpound inchpounds poundinch
    kgf·m   | kilogram_force * meter | metric | kgm mkg kpm
pressure
    bar   | bar                         | metric | bars
    psi   | pound_force_per_square_inch | inch   | lb/in2 lbf/in2 lb/in^2 lbf/in^2
    kPa   | kilopascal                  | metric | kilopascal
    MPa   | megapascal                  | metric | megapascal n/mm2 n/mm^2
    inHg  | inch_Hg                     | inch   |
temperature
    °C    | degree_Celsius    | metric | c degc celsius degreesc degreescelsius
    °F    | degree_Fahrenheit | inch   | f degf fahrenheit degreesf degreesfahrenheit
temperature difference
    K         | kelvin                  | metric | kelvin delta°c deltac deltadegc °c c degc celsius
    delta °F  | delta_degree_Fahrenheit | inch   | deltaf deltadegf °f f degf fahrenheit
angle
    °     | degree     | both   | deg degree degrees
    turn  | turn       | both   | turns
speed
    km/h  | kilometer / hour | metric | kmh kph
    mph   | mile / hour      | inch   | mi/h
    m/s   | meter / second   | metric |
acceleration
    m/s²   | meter / second ** 2 | metric | m/s^2
    ft/s²  | foot / second ** 2  | inch   | ft/s^2
energy
    J       | joule              | metric | joule joules
    ft·lbf  | foot * force_pound | inch   | ftlb
    kJ      | kilojoule          | metric | kilojoule kilojoules
    Btu     | british_thermal_unit | inch |
flow
    mL/min        | milliliter / minute  | metric |
    US fl oz/min  | fluid_ounce / minute | inch   | floz/min
    mL/s          | milliliter / second  | metric |
    L/min         | liter / minute       | metric |
time
    min   | minute     | both   | minute minutes
    s     | second     | both   | sec secs second seconds
    h     | hour       | both   | hr hrs hour hours
viscosity
    mm²/s | millimeter ** 2 / second | both | mm^2/s cst centistoke centistokes
density
    g/cm³  | gram / cubic_centimeter | metric | g/ml g/cc g/cm^3
    lb/in³ | pound / inch ** 3       | inch   | lb/in^3
    kg/m³  | kilogram / meter ** 3   | metric | kg/m^3
specific heat
    J/(kg·K)     | joule / kilogram / kelvin                               | metric | j/kgk j/kg/k
    Btu/(lb·°F)  | british_thermal_unit / pound / delta_degree_Fahrenheit  | inch   | btu/lb°f btu/lbf btu/lb/f
share
          | dimensionless | both |
    %     | percent       | both | percent
ratio
          | dimensionless | both |
number
          | dimensionless | both |
quantity
          | dimensionless | both |
"""

# The system of units a fixed unit of a result is also shown in.
OTHER_UNIT = {
    "mm": "in", "km": "mi", "mm/km": "in/mi", "m": "ft", "mL": "US fl oz", "mm²": "in²", "g": "oz", "N": "lbf",
    "N·m": "lbf·ft", "mL/min": "US fl oz/min", "J": "ft·lbf", "°C": "°F", "K": "delta °F", "m/s²": "ft/s²",
}  # fmt: skip
