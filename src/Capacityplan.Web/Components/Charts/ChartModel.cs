namespace Capacityplan.Web.Components.Charts;

/// <summary>
/// What a chart shows, in the figures' own units and without a pixel or a colour: made by a pure function from a result,
/// drawn by <see cref="PlotlyDrawing"/>, told in words by its title, its text alternative and its table.
/// </summary>
public sealed record ChartModel
{
    /// <summary>A word for ids and tests, such as "run-time".</summary>
    public required string Name { get; init; }

    /// <summary>The finding, as a sentence without its full stop.</summary>
    public required string Title { get; init; }

    /// <summary>What is drawn against what, in which units and on which scales.</summary>
    public required string Subtitle { get; init; }

    /// <summary>The picture in words, for those who do not see it.</summary>
    public required string TextAlternative { get; init; }

    public required ChartAxis X { get; init; }

    public required ChartAxis Y { get; init; }

    /// <summary>Height in pixels; the same whatever is in it, so that nothing moves.</summary>
    public required int Height { get; init; }

    public ValueList<BandPoint> Band { get; init; }

    /// <summary>What time goes into against X, stacked.</summary>
    public ValueList<TimeArea> Areas { get; init; }

    /// <summary>Columns standing on the X axis.</summary>
    public ValueList<ChartColumn> Columns { get; init; }

    /// <summary>What each row did along X; rows are counted down from 0.</summary>
    public ValueList<RowStretch> Stretches { get; init; }

    /// <summary>A stretch of X worth pointing out; null where there is none.</summary>
    public ChartZone? Zone { get; init; }

    /// <summary>Upright strokes with their labels at the top.</summary>
    public ValueList<Upright> Uprights { get; init; }

    /// <summary>True where a stretch of X can be drawn with the pointer and is then shown larger.</summary>
    public bool ZoomsAlongX { get; init; }

    public ValueList<ChartLine> Lines { get; init; }

    /// <summary>Measured runs.</summary>
    public ValueList<ChartPoint> Measured { get; init; }

    /// <summary>Quantiles of a sample against those of a distribution.</summary>
    public ValueList<ChartPoint> Quantiles { get; init; }

    /// <summary>What is read out under the pointer, ascending in X.</summary>
    public ValueList<Readout> Readouts { get; init; }

    /// <summary>Machines standing on the core axis.</summary>
    public ValueList<MachinePost> Posts { get; init; }

    /// <summary>Machines as marks in the plane.</summary>
    public ValueList<MachineMark> Marks { get; init; }

    /// <summary>The batch window; null where there is none, or none within reach of the axis.</summary>
    public WindowLine? Window { get; init; }

    /// <summary>Where the measurements end; null where there are none.</summary>
    public MeasuredEnd? MeasuredEnd { get; init; }

    /// <summary>The chosen machine on the curve.</summary>
    public ChosenPoint? Chosen { get; init; }

    public ValueList<ChartNote> Notes { get; init; }

    /// <summary>How the run divides, in a strip under the axis; null where it is not drawn.</summary>
    public ShareStrip? Shares { get; init; }

    /// <summary>The signs that need explaining.</summary>
    public ValueList<KeySign> Key { get; init; }

    /// <summary>The kinds of tasks that rows tell apart, for the key.</summary>
    public ValueList<KindSign> Kinds { get; init; }

    /// <summary>The figures drawn, as a table.</summary>
    public required ChartTable Table { get; init; }

    /// <summary>Stands in the plot where no curve can be drawn; null where one is.</summary>
    public ChartMessage? Message { get; init; }
}

public enum AxisScale
{
    Linear,
    Logarithmic,
}

/// <param name="Value">Where it stands.</param>
/// <param name="Label">Its text.</param>
/// <param name="IsWindow">True for the window's own tick.</param>
public sealed record ChartTick(double Value, string Label, bool IsWindow = false);

public sealed record ChartAxis
{
    /// <summary>What runs along it, with its unit; empty where the tick labels say it.</summary>
    public required string Title { get; init; }

    public required AxisScale Scale { get; init; }

    public required double Low { get; init; }

    public required double High { get; init; }

    public required ValueList<ChartTick> Ticks { get; init; }

    /// <summary>Where a value lies along the axis: 0 at its low end, 1 at its high end.</summary>
    public double Position(double value) => Scale == AxisScale.Linear
        ? (value - Low) / (High - Low)
        : Math.Log(value / Low) / Math.Log(High / Low);

    /// <summary>The value at a place along the axis.</summary>
    public double At(double position) => Scale == AxisScale.Linear
        ? Low + position * (High - Low)
        : Low * Math.Pow(High / Low, position);
}

public readonly record struct ChartPoint(double X, double Y);

/// <summary>What the time of a worker goes into.</summary>
public enum TimeUse
{
    /// <summary>Units of parallel phases.</summary>
    Work,

    /// <summary>Serial phases.</summary>
    Serial,

    /// <summary>Forks, joins and combines.</summary>
    Overhead,

    /// <summary>Steals that succeeded.</summary>
    Stealing,

    /// <summary>Looking for something to steal, or not yet awake.</summary>
    Idle,

    /// <summary>Runs a range of units, with its forks and joins.</summary>
    Running,

    /// <summary>Several, each too short to show.</summary>
    Mixed,

    /// <summary>Tasks of the kind with the most work.</summary>
    FirstKind,

    /// <summary>Those of the kind after it, and so on.</summary>
    SecondKind,

    /// <summary>Likewise.</summary>
    ThirdKind,

    /// <summary>Likewise.</summary>
    FourthKind,

    /// <summary>Likewise.</summary>
    FifthKind,

    /// <summary>Tasks of the last kind, or of all others.</summary>
    OtherKind,

    /// <summary>The plan's own job in its night.</summary>
    OwnJob,

    /// <summary>Another job of the night.</summary>
    OtherJob,
}

/// <param name="Use">What the time goes into.</param>
/// <param name="Points">From and to along Y, ascending in X.</param>
public sealed record TimeArea(TimeUse Use, ValueList<BandPoint> Points);

/// <param name="From">Left edge.</param>
/// <param name="To">Right edge.</param>
/// <param name="Height">Height, along Y from 0.</param>
public readonly record struct ChartColumn(double From, double To, double Height);

/// <param name="Row">Its row.</param>
/// <param name="From">Where it begins along X.</param>
/// <param name="To">Where it ends.</param>
/// <param name="Use">What was done.</param>
/// <param name="Text">What is said under the pointer; empty for nothing.</param>
public readonly record struct RowStretch(int Row, double From, double To, TimeUse Use, string Text);

/// <param name="Use">How it is drawn.</param>
/// <param name="Name">What it is called.</param>
public sealed record KindSign(TimeUse Use, string Name);

/// <param name="From">Left end.</param>
/// <param name="To">Right end.</param>
/// <param name="Label">What it is.</param>
/// <param name="Detail">A second, quieter line; empty where there is none.</param>
public sealed record ChartZone(double From, double To, string Label, string Detail);

/// <param name="X">Where it stands.</param>
/// <param name="Label">Its label; empty where it has none.</param>
/// <param name="IsKey">True where it is drawn in ink and its label set bold.</param>
public sealed record Upright(double X, string Label, bool IsKey);

public readonly record struct BandPoint(double X, double Low, double High);

/// <summary>What is said when the pointer is at a place.</summary>
public sealed record Readout(double X, double Y, string Text);

public enum LineRole
{
    Median,
    MedianBeyond,
    Floor,
    Ceiling,
    Perfect,
    Amdahl,
    Gustafson,
    Frontier,
    Family,
    ClosedForm,
}

/// <summary>The side of a line on which nothing can lie.</summary>
public enum ImpossibleSide
{
    None,
    Below,
    Above,
}

public sealed record ChartLine(LineRole Role, ValueList<ChartPoint> Points)
{
    /// <summary>Named at its right end; null where it is not.</summary>
    public string? Label { get; init; }

    public ImpossibleSide Impossible { get; init; }

    /// <summary>From where on the impossible side is hatched.</summary>
    public double HatchedFrom { get; init; }
}

public enum MachineState
{
    /// <summary>Drawn hollow: does not fit, misses the window, or is never worth its price.</summary>
    Out,

    Good,

    Chosen,
}

/// <summary>A machine's name, and the same split where it reads as a family and a size.</summary>
public sealed record MachineLabel(string Name, string Family, string Size)
{
    /// <summary>"Heron-16" is size 16 of the family Heron; a name that does not end in a number stands alone.</summary>
    public static MachineLabel Of(string name)
    {
        int dash = name.LastIndexOf('-');
        return dash > 0 && dash < name.Length - 1 && name.AsSpan(dash + 1).IndexOfAnyExceptInRange('0', '9') < 0
            ? new(name, name[..dash], name[(dash + 1)..])
            : new(name, "", name);
    }
}

public sealed record MachinePost(MachineLabel Label, double Cores, MachineState State);

/// <param name="Label">Its name.</param>
/// <param name="Point">Where it is.</param>
/// <param name="State">How it is drawn.</param>
/// <param name="OnFrontier">True where its name is set in ink.</param>
public sealed record MachineMark(MachineLabel Label, ChartPoint Point, MachineState State, bool OnFrontier)
{
    /// <summary>Ends of the band, along X; null where none is drawn.</summary>
    public (double Low, double High)? Whiskers { get; init; }

    /// <summary>Where a heavy night lies, along X; null where none is drawn.</summary>
    public double? Heavy { get; init; }

    /// <summary>Other text to stand at the mark in place of its name.</summary>
    public string? Text { get; init; }

    /// <summary>False where its place says enough.</summary>
    public bool Named { get; init; } = true;
}

/// <param name="Seconds">The window's length.</param>
/// <param name="IsVertical">True where time runs along X.</param>
/// <param name="Label">Its label.</param>
/// <param name="BriefLabel">The same on a narrow screen.</param>
public sealed record WindowLine(double Seconds, bool IsVertical, string Label, string BriefLabel);

/// <param name="Cores">The largest measured core count.</param>
/// <param name="Top">Where its dotted drop starts.</param>
/// <param name="Label">Its label.</param>
/// <param name="Beyond">What lies to its right; empty where there is nothing.</param>
public sealed record MeasuredEnd(double Cores, double Top, string Label, string Beyond);

/// <param name="Point">On the median.</param>
/// <param name="Label">Its label.</param>
/// <param name="Detail">A second, quieter line; empty where there is none.</param>
/// <param name="HasPost">True where two strokes reach up to it from the axis.</param>
public sealed record ChosenPoint(ChartPoint Point, string Label, string Detail, bool HasPost);

public enum NoteRole
{
    Quiet,
    Key,
    Window,
}

/// <summary>A text at a place.</summary>
/// <param name="Point">The place.</param>
/// <param name="Text">The text.</param>
/// <param name="Role">How it is set.</param>
public sealed record ChartNote(ChartPoint Point, string Text, NoteRole Role)
{
    /// <summary>Where the text lies from the place: -1 to its left, 0 centred, 1 to its right.</summary>
    public int Side { get; init; }

    /// <summary>Pixels right and down from the place.</summary>
    public (int X, int Y) Offset { get; init; }

    /// <summary>True where it is left out on a narrow screen.</summary>
    public bool WideOnly { get; init; }
}

/// <summary>Shares of the run against cores.</summary>
/// <param name="Work">Share of the run that more cores shrink, from 0 to 1.</param>
/// <param name="BindsFrom">From where the rest outweighs the work; null where it never does on this axis.</param>
/// <param name="WorkLabel">What the work's share is called.</param>
/// <param name="RestLabel">What the rest is called.</param>
/// <param name="UpTo">What is said left of <paramref name="BindsFrom"/>.</param>
/// <param name="Then">What is said right of it.</param>
public sealed record ShareStrip(
    ValueList<ChartPoint> Work, double? BindsFrom, string WorkLabel, string RestLabel, string UpTo, string Then);

/// <summary>A sign of the drawing language that a chart's key explains.</summary>
public enum KeySign
{
    MeasuredRun,
    Median,
    Band,
    Floor,
    Ceiling,
    Machine,
    ChosenMark,
    FrontierMark,
    OutMark,
    HoldsMark,
    MissesMark,
    BandWhisker,
    HeavyNight,
    Amdahl,
    Gustafson,
    WorkTime,
    SerialTime,
    OverheadTime,
    StealingTime,
    IdleTime,
    RunningTime,
    MixedTime,
    SimulatedMean,
    SimulatedSpread,
    ClosedForm,
}

/// <summary>The figures of a chart.</summary>
/// <param name="Columns">Column heads; the first names the rows.</param>
/// <param name="Rows">One text for each column.</param>
public sealed record ChartTable(ValueList<string> Columns, ValueList<TableRow> Rows);

/// <param name="Cells">One for each column.</param>
/// <param name="IsChosen">True for the chosen machine's row.</param>
public sealed record TableRow(ValueList<string> Cells, bool IsChosen = false);

/// <param name="Text">What is missing or wrong.</param>
/// <param name="Then">What to do, or what stays true.</param>
/// <param name="KeepsPoints">True where the measured points still stand, and the message gives way to them.</param>
public sealed record ChartMessage(string Text, string Then, bool KeepsPoints = false);
