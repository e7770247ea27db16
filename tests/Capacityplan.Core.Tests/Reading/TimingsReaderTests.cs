using System.Globalization;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Reading;

namespace Capacityplan.Core.Tests.Reading;

public sealed class TimingsReaderTests
{
    public static TheoryData<string> Pastes => [.. TimingsPastes.All.Select(paste => paste.Name)];

    [Theory]
    [MemberData(nameof(Pastes))]
    public void Read_Paste_GivesItsTimingsAndItsProblems(string name)
    {
        var paste = TimingsPastes.All.Single(paste => paste.Name == name);
        var reading = TimingsReader.Read(paste.Text);

        Assert.Equal(paste.Timings, Written(reading));
        Assert.Equal(paste.Problems, reading.Problems.Select(Written));
        Assert.Equal(reading.Values != TimingValues.Times, reading.IsRelative);
    }

    /// <summary>Each place, cut out of the text, holds the figure that was read there.</summary>
    [Theory]
    [MemberData(nameof(Pastes))]
    public void Read_Paste_NamesThePlacesOfItsFigures(string name)
    {
        var text = TimingsPastes.All.Single(paste => paste.Name == name).Text;
        var reading = TimingsReader.Read(text);
        foreach (var timing in reading.Timings)
        {
            var cores = Cut(text, timing.CoresAt);
            if (cores is not ("single" or "two"))
            {
                // "1.000" is one core or a thousand, by the marks around it.
                Assert.True(NumberText.TryRead(cores, DecimalMark.Comma, out var byComma));
                Assert.True(NumberText.TryRead(cores, DecimalMark.Point, out var byPoint));
                Assert.True(timing.Timing.Cores == byComma.Value || timing.Timing.Cores == byPoint.Value, cores);
            }

            var value = Cut(text, timing.ValueAt);
            if (reading.Values == TimingValues.Times && DurationText.TryRead(value, 1, DecimalMark.Unknown, out var time) && time is { HasUnit: true, IsAmbiguous: false, UnitSeconds: not null })
                Assert.Equal(timing.Timing.Seconds, time.Seconds, 1e-9);
            Assert.Contains(value, char.IsDigit);
        }
    }

    [Theory]
    [InlineData("cores   time\n1       812 s\n12      - killed by the backup", "No time here, so 12 cores is left out.")]
    [InlineData("cores,time\n1,812 s\n1,", "No time here, so this run on 1 core is left out; the other runs stay.")]
    [InlineData("cores,time\n1,12x4\n2,6 s", "“12x4” is not a time, so 1 core is left out. Write it like 12.4 s, 1h45m or 3:16:40.")]
    [InlineData("cores,time\n1,0\n2,6 s", "A time of 0 cannot be, so 1 core is left out. Write it with more digits.")]
    [InlineData("cores,time\n1,-7 s\n2,6 s", "A time cannot be below 0, so 1 core is left out.")]
    [InlineData("cores,time\n1,300 years\n2,6 s", "“300 years” is longer than 10 years, so 1 core is left out. Check its unit.")]
    [InlineData("cores,time\n1,1e-30 s\n2,6 s", "“1e-30 s” is shorter than a nanosecond, so 1 core is left out. Check its unit.")]
    [InlineData("cores,time\n0,12 s\n2,6 s", "A run on 0 cores cannot be, so this line is left out. Write the number of cores it had.")]
    [InlineData("cores,time\n2.5,12 s\n2,6 s", "2.5 cores is not a whole number, so this line is left out.")]
    [InlineData("cores,time\n2000000,12 s\n2,6 s", "2,000,000 cores is more than the 1,000,000 cores a timing may name, so this line is left out.")]
    [InlineData("cores,time\n,12 s\n2,6 s", "No core count here, so 12 s is left out. Write the number of cores beside it.")]
    [InlineData("cores,time\n1-2,12 s\n2,6 s", "“1-2” is not a number of cores, so this line is left out. Write a whole number.")]
    [InlineData("cores,speedup\n1,1\n2,-2", "A speedup has to be above 0, so 2 cores is left out.")]
    [InlineData("cores,throughput\n1,10\n2,0", "A rate has to be above 0, so 2 cores is left out.")]
    [InlineData("4 812 s\n2 1.9x", "Nothing ties this figure to the times elsewhere, so 2 cores is left out. Write its time.")]
    [InlineData("cores,size,time\n1,big,12 s\n2,1,6 s", "“big” is not an input size, so the planned size is taken for 1 core.")]
    [InlineData("1 | 12 s | killed\n2 | 6 s | ", "This says “killed”, yet its time is used for 1 core. Take the line out if the run did not finish.")]
    [InlineData("cores\ttime\n1\t1,234 s\n2\t2,345 s", "“1,234 s” can be read with thousands or with decimals; thousands are taken. Write it without the comma to settle it.")]
    [InlineData("cores;time\n1;1,234 s\n2;2,345 s", "“1,234 s” is read with decimals, since semicolons part the columns.")]
    [InlineData("what,cores,time\na,1,12 s\nb,2,6 s", "This column names 2 different things, and all lines are read as one job. Keep the lines of one.")]
    [InlineData("[[1,\"12 s\"],[2,\"6 s\"", "The text breaks off or goes wrong here; what stands before is read.")]
    [InlineData("cores,time\n1,12\n2,6 s", null)]
    [InlineData("cores,time\n1,12\n2,6", "No unit is given; these times are read as seconds.")]
    [InlineData("cores,time\n1,12 min\n2,6", "No unit here; read as minutes, like the times around it.")]
    [InlineData("cores,speedup\n1,1\n2,2", "These are speedups, not times: how it scales is known, how long it takes is not. Give the time of one run.")]
    [InlineData("1 12 s\n2 1.9x", "The speedups are turned into times with the times given.")]
    [InlineData("cores,time,efficiency\n1,12 s,1", "The column “efficiency” is not used.")]
    [InlineData("8 cores: 12 s, startup 3 s", "“3 s” is not used.")]
    [InlineData("cores,time,\n1,12 s,12.1 s", "The columns without a heading are read as repeated runs.")]
    [InlineData("1 | 12.4 ± 0.1 s", "The spread after ± is not used; repeated runs would be.")]
    [InlineData("cores,size,time\n1,100,12 s\n2,50,3 s", "Input sizes are taken relative to the largest, “100”.")]
    [InlineData("1 12 s\n1 12 s", "The same as line 1; both are kept, as two runs.")]
    [InlineData("cores,time\n1,12 s\n\n3 retries", "Figures, but no core count with a time; this line is left out.")]
    [InlineData("cores,time\n1,12 s\n\n3 retries\nin 2026", "Figures, but no core count with a time; lines 4 to 5 are left out.")]
    [InlineData("cores,time\n# 3 retries\n1,12 s", "A comment with figures; this line is left out.")]
    [InlineData("cores,value\n1,10\n2,19\n4,36", "These figures rise with the cores, so they are read as rates, not as times. If they are times, head the column “seconds”.")]
    [InlineData("hello", "No line has both a core count and a time. Write lines such as 8 cores: 12.4 s.")]
    public void Read_SomethingWrongOrDoubtful_SaysWhatHappenedAndWhatToDo(string text, string? message)
    {
        var messages = TimingsReader.Read(text).Problems.Select(problem => problem.Message);
        if (message is null)
            Assert.Empty(messages);
        else
            Assert.Contains(message, messages);
    }

    [Theory]
    [InlineData("")]
    [InlineData(" \n\t\r\n ")]
    public void Read_BlankText_HasNeitherTimingsNorProblems(string text)
    {
        var reading = TimingsReader.Read(text);
        Assert.Empty(reading.Timings);
        Assert.Empty(reading.Problems);
    }

    [Fact]
    public void Read_NoTiming_HasOneErrorAndKeepsTheWarnings()
    {
        var problems = TimingsReader.Read("cores,time\n8,-\n16,12x4\nas of 2026").Problems;

        var error = Assert.Single(problems, problem => problem.Severity == ProblemSeverity.Error);
        Assert.Null(error.Line);
        Assert.Equal([2, 3], problems.Where(problem => problem.Severity == ProblemSeverity.Warning).Select(problem => problem.Line));
        Assert.Equal(3, problems.Length);
    }

    [Theory]
    [InlineData("\n  hello there\nagain", 2, 3)]
    [InlineData("hello there\nroom 12\nroom 13", 2, 1)]
    public void Read_Rubbish_PointsAtTheFirstLineThatCouldBeMeant(string text, int line, int column)
    {
        var error = Assert.Single(TimingsReader.Read(text).Problems, problem => problem.Severity == ProblemSeverity.Error);
        Assert.Equal((line, column), (error.Line, error.Column));
    }

    [Fact]
    public void Read_MoreRowsThanTheMost_KeepsTheFirstAndSaysSo()
    {
        var rows = string.Concat(Enumerable.Range(0, TimingsReader.MostTimings + 5).Select(row =>
            string.Create(CultureInfo.InvariantCulture, $"{1 + (row % 64)},{row}.5 s\n")));

        var reading = TimingsReader.Read("cores,time\n" + rows);

        Assert.Equal(TimingsReader.MostTimings, reading.Timings.Length);
        var problem = Assert.Single(reading.Problems);
        Assert.Equal("The first 100,000 timings are read; from here on they are left out.", problem.Message);
        Assert.Equal(TimingsReader.MostTimings + 2, problem.Line);
    }

    [Fact]
    public void Read_ManyRowsWrongInTheSameWay_NamesTheFirstAndCountsTheRest()
    {
        var reading = TimingsReader.Read("cores,time\n1,12 s\n" + string.Concat(Enumerable.Repeat("8,-\n", 1000)));

        Assert.Equal(101, reading.Problems.Length);
        Assert.All(reading.Problems, problem => Assert.Equal(ProblemSeverity.Warning, problem.Severity));
        Assert.Equal("900 more lines like the one above are left out or noted for the same reason.", reading.Problems[^1].Message);
        Assert.Equal(103, reading.Problems[^1].Line);
    }

    /// <summary>Rubbish of any kind, a megabyte of it, is worked through without growing work per character.</summary>
    [Theory]
    [InlineData("8 cores: 12 s ")]
    [InlineData("cores,seconds\n1,2\n8 cores: 12s\n3;4\n| 4 | 5 |\n")]
    [InlineData("[1,2],")]
    [InlineData("[[[[")]
    [InlineData("{\"a\":")]
    [InlineData("x=[\n")]
    [InlineData("\u001B[")]
    [InlineData("\u001B]")]
    [InlineData("1 ")]
    [InlineData("1 000 ")]
    [InlineData("1,000,")]
    [InlineData("\",")]
    [InlineData("1\n")]
    [InlineData("1:")]
    [InlineData("| 1 ")]
    [InlineData("core ")]
    [InlineData("a,b\n")]
    [InlineData("1e")]
    public void Read_LongRubbish_AllocatesInProportionToItsLength(string piece)
    {
        long Allocated(int length)
        {
            var text = string.Concat(Enumerable.Repeat(piece, length / piece.Length));
            var before = GC.GetAllocatedBytesForCurrentThread();
            Assert.NotNull(TimingsReader.Read(text).Problems.ToString());
            return GC.GetAllocatedBytesForCurrentThread() - before;
        }

        Allocated(1000);
        var less = Allocated(20_000);
        var more = Allocated(80_000);
        Assert.True(more < (6 * less) + 1_000_000, $"{less} bytes for 20,000 characters, {more} for 80,000");
    }

    private static string Written(TimingsReading reading)
    {
        var kind = reading.Values == TimingValues.Times ? "" : reading.Values.ToString().ToLowerInvariant() + " ";
        return kind + string.Join(" ", reading.Timings.Select(timing => Written(timing.Timing)));
    }

    private static string Written(Timing timing) => string.Create(
        CultureInfo.InvariantCulture,
        $"{timing.Cores}:{timing.Seconds:G7}{(timing.Sitting is { } sitting ? $"@{sitting}" : "")}{(timing.Size == 1 ? "" : $"~{timing.Size:G4}")}");

    private static string Written(Problem problem) => problem.Line is null
        ? $"{problem.Severity}: {problem.Message}"
        : string.Create(CultureInfo.InvariantCulture, $"{problem.Severity} {problem.Line}:{problem.Column}+{problem.Length}");

    private static string Cut(string text, TextSpan span) => text.Split('\n')[span.Line - 1].Substring(span.Column - 1, span.Length);
}
