using Bunit;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;
using Capacityplan.Core.Reading;
using Capacityplan.Web.Components.Structure;
using Capacityplan.Web.Plans;
using Microsoft.AspNetCore.Components.Forms;

namespace Capacityplan.Web.Tests.Phases;

public sealed class SampleBoxTests : StructureTest
{
    private static readonly string s_exponential = string.Join('\n', Enumerable.Range(0, 300).Select(index => $"{-290 * Math.Log(1 - (index + 0.5) / 300):0.000} ms"));

    private static readonly PhaseDraft s_phase = new() { Name = "grid", Units = "200", Sizes = UnitDistribution.Sample };

    [Fact]
    public async Task Text_OnceRead_IsDescribedAndDrawn()
    {
        await using PlanSession session = await SessionAsync(s_phase with { SampleText = s_exponential });
        IRenderedComponent<SampleBox> box = Box(session);
        Assert.Contains("Reading the times.", box.Markup, StringComparison.Ordinal);

        await StudiedAsync(box);

        Assert.StartsWith("300 times read: half take less than 201\u00A0ms, 95 of 100 less than ", Words(box.Find(".given-sample [role=status]")), StringComparison.Ordinal);
        Assert.Equal(2, box.FindAll("figure").Count);
        Assert.DoesNotContain("Reading the times.", box.Markup, StringComparison.Ordinal);
        Assert.Equal("grid: measured times of units", box.Find("textarea").GetAttribute("aria-label"));
        Assert.Equal(s_exponential, session.Draft.Phases[0].SampleText);
    }

    [Fact]
    public async Task Fit_Stated_FillsTheBlanksAndKeepsTheSample()
    {
        await using PlanSession session = await SessionAsync(s_phase with { SampleText = s_exponential });
        IRenderedComponent<SampleBox> box = Box(session);
        await StudiedAsync(box);

        await Button(box, "State it as exponential").ClickAsync(new());

        PhaseDraft stated = session.Draft.Phases[0];
        Assert.Equal(UnitDistribution.Exponential, stated.Sizes);
        Assert.Equal(s_exponential, stated.SampleText);
        await SettleAsync(session, box);
        Assert.Equal(0.29, Assert.IsType<ExponentialSizes>(((ParallelPhase)session.Result!.Plan.Structure!.Phases[0]).UnitSizes).Mean, 0.002);
    }

    [Fact]
    public async Task Problems_HaveTheirLineAndColumn()
    {
        await using PlanSession session = await SessionAsync(s_phase with { SampleText = "290 ms\n310 ms\n-5 ms\n1.2 s\n" });
        IRenderedComponent<SampleBox> box = Box(session);
        await StudiedAsync(box);

        Assert.Contains(box.FindAll("p.small.bad").Select(Words), words => words.StartsWith("Line 3, column 1: ", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Text_Emptied_SaysNothingMore()
    {
        await using PlanSession session = await SessionAsync(s_phase with { SampleText = s_exponential });
        IRenderedComponent<SampleBox> box = Box(session);

        // Emptied while it is being read, and after.
        await TypeAsync(box, "");
        box.Render(parameters => parameters.Add(one => one.Called, "grid"));
        Assert.DoesNotContain("Reading the times.", box.Markup, StringComparison.Ordinal);
        await TypeAsync(box, "1 s\n2 s");
        box.Render(parameters => parameters.Add(one => one.Called, "grid"));
        await StudiedAsync(box);
        Assert.Contains("2 times read", box.Markup, StringComparison.Ordinal);
        await TypeAsync(box, " \n");
        box.Render(parameters => parameters.Add(one => one.Called, "grid"));

        Assert.Empty(box.FindAll("[role=status]"));
        Assert.Empty(box.FindAll("figure"));
        Assert.Equal(" \n", session.Draft.Phases[0].SampleText);
    }

    [Fact]
    public async Task Text_ThatIsLong_IsCondensedInTheDraft()
    {
        string text = string.Join('\n', Enumerable.Range(0, 30_000).Select(index => $"{1000 + index} us"));
        await using PlanSession session = await SessionAsync(s_phase with { SampleText = text });
        IRenderedComponent<SampleBox> box = Box(session);
        await StudiedAsync(box);

        string brief = session.Draft.Phases[0].SampleText;
        SampleSizes kept = SampleReader.Read(brief).Sizes!;
        Assert.Equal((30_000, SampleSizes.MostGroups), (kept.Count, kept.Values.Count));
        Assert.Equal(0.0159995, kept.Mean, 1e-9);
        Assert.StartsWith("30,000 times read: ", Words(box.Find(".given-sample [role=status]")), StringComparison.Ordinal);
        Assert.Contains("The 5,000 longest are kept one by one", box.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Text_OfGroups_IsNotSaidToBeCondensed()
    {
        await using PlanSession session = await SessionAsync(s_phase with { SampleText = "seconds\n133 x 0.0123\n20 x 0.015\n" });
        IRenderedComponent<SampleBox> box = Box(session);
        await StudiedAsync(box);

        Assert.StartsWith("153 times read: ", Words(box.Find(".given-sample [role=status]")), StringComparison.Ordinal);
        Assert.DoesNotContain("are kept one by one", box.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Text_TypedOnWhileALongOneIsRead_IsNotLost()
    {
        string text = string.Join('\n', Enumerable.Range(0, 30_000).Select(index => $"{1000 + index} us"));
        await using PlanSession session = await SessionAsync(s_phase with { SampleText = text });
        IRenderedComponent<SampleBox> box = Box(session);

        await TypeAsync(box, "1 s\n2 s");
        await StudiedAsync(box);

        Assert.Equal("1 s\n2 s", session.Draft.Phases[0].SampleText);
    }

    [Fact]
    public async Task File_Read_IsTakenWithWhatItLeavesOut()
    {
        await using PlanSession session = await SessionAsync(s_phase with { SampleText = "1 s" });
        IRenderedComponent<SampleBox> box = Box(session);

        box.FindComponent<InputFile>().UploadFiles(InputFileContent.CreateFromText("tile,ms\na,290\nb,\nc,310\nd,500\n", "times.csv"));
        box.WaitForAssertion(() => Assert.StartsWith("3 times read from the column ms: ", Words(box.Find(".given-sample [role=status]")), StringComparison.Ordinal));

        Assert.Equal([0.29, 0.31, 0.5], SampleReader.Read(session.Draft.Phases[0].SampleText).Seconds);
        Assert.DoesNotContain("Reading times.csv", box.Markup, StringComparison.Ordinal);
        Assert.Empty(box.FindAll("[role=alert]"));
        SampleReading reading = SampleReader.Read("tile,ms\na,290\nb,\nc,310\nd,500\n");
        Assert.All(reading.Problems, problem => Assert.Contains(box.FindAll("p.small").Select(Words), words => words.EndsWith(problem.Message, StringComparison.Ordinal)));
        Assert.NotEmpty(reading.Problems);
    }

    [Fact]
    public async Task File_WithoutATime_LeavesTheDraftAsItWas()
    {
        await using PlanSession session = await SessionAsync(s_phase with { SampleText = "1 s" });
        IRenderedComponent<SampleBox> box = Box(session);

        box.FindComponent<InputFile>().UploadFiles(InputFileContent.CreateFromText("no times in here\n", "notes.txt"));

        box.WaitForAssertion(() => Assert.NotEmpty(box.FindAll("[role=alert]")));
        string words = Words(box.Find("[role=alert]"));
        Assert.StartsWith("notes.txt: ", words, StringComparison.Ordinal);
        Assert.EndsWith("Nothing was changed.", words, StringComparison.Ordinal);
        Assert.Equal("1 s", session.Draft.Phases[0].SampleText);
    }

    [Fact]
    public async Task File_TooLarge_IsRefusedUnread()
    {
        await using PlanSession session = await SessionAsync(s_phase with { SampleText = "1 s" });
        IRenderedComponent<SampleBox> box = Box(session);
        var file = new HeldFile("huge.csv", SampleStudy.MostFileBytes + 1);

        await box.InvokeAsync(() => box.FindComponent<InputFile>().Instance.OnChange.InvokeAsync(new InputFileChangeEventArgs([file])));

        Assert.Equal("huge.csv has 256 MB; 256 MB are the most. Send a part of it.", Words(box.Find("[role=alert]")));
        Assert.False(file.IsOpened);
        Assert.Equal("1 s", session.Draft.Phases[0].SampleText);
    }

    [Fact]
    public async Task File_Stopped_LeavesTheDraftAsItWas()
    {
        await using PlanSession session = await SessionAsync(s_phase with { SampleText = "1 s" });
        IRenderedComponent<SampleBox> box = Box(session);
        var file = new HeldFile("slow.csv", 1_000);
        Task choosing = ChooseAsync(box, file);
        Assert.Contains("Reading slow.csv: 0 times so far.", Words(box.Find(".given-sample")), StringComparison.Ordinal);

        Button(box, "Stop").Click();
        await choosing;

        Assert.DoesNotContain("slow.csv", box.Markup, StringComparison.Ordinal);
        Assert.Empty(box.FindAll("[role=alert]"));
        Assert.Equal("1 s", session.Draft.Phases[0].SampleText);
    }

    [Fact]
    public async Task File_ChosenWhileAnotherIsRead_TakesItsPlace()
    {
        await using PlanSession session = await SessionAsync(s_phase with { SampleText = "1 s" });
        IRenderedComponent<SampleBox> box = Box(session);
        var slow = new HeldFile("slow.csv", 1_000);
        var second = new HeldFile("second.csv", 1_000);
        Task first = ChooseAsync(box, slow), then = ChooseAsync(box, second);

        second.End("7 s\n8 s\n");
        await then;
        slow.End("1 h\n2 h\n");
        await first;

        Assert.Equal([7, 8], SampleReader.Read(session.Draft.Phases[0].SampleText).Seconds);
        Assert.Empty(box.FindAll("[role=alert]"));
    }

    [Fact]
    public async Task File_OfAPhaseThatHasGone_ChangesNoOther()
    {
        await using PlanSession session = await SessionAsync(s_phase with { SampleText = "1 s" }, s_phase with { Name = "contour", SampleText = "2 s" });
        IRenderedComponent<PhasesForm> form = Render<PhasesForm>(parameters => parameters.AddCascadingValue(session));
        IRenderedComponent<SampleBox> box = form.FindComponents<SampleBox>()[0];
        var file = new HeldFile("slow.csv", 1_000);
        Task choosing = ChooseAsync(box, file);

        Labelled(form, "Remove grid").Click();
        file.End("7 s\n8 s\n");
        await choosing;

        Assert.Equal(["2 s"], session.Draft.Phases.Select(phase => phase.SampleText));
    }

    [Fact]
    public async Task File_ThatBreaksOff_IsSaidTo()
    {
        await using PlanSession session = await SessionAsync(s_phase with { SampleText = "1 s" });
        IRenderedComponent<SampleBox> box = Box(session);
        var file = new HeldFile("broken.csv", 1_000);
        Task choosing = ChooseAsync(box, file);

        file.Break();
        await choosing;

        Assert.Equal("broken.csv could not be read to its end. Nothing was changed; choose it again.", Words(box.Find("[role=alert]")));
        Assert.Equal("1 s", session.Draft.Phases[0].SampleText);
    }

    /// <summary>Types between two renders: a reading that has been called off may have the box shown anew at any time.</summary>
    private static Task TypeAsync(IRenderedComponent<SampleBox> box, string text) => box.InvokeAsync(() => box.Find("textarea").Input(text));

    private static Task ChooseAsync(IRenderedComponent<SampleBox> box, HeldFile file)
    {
        Task choosing = Task.CompletedTask;
        _ = box.InvokeAsync(() => choosing = box.FindComponent<InputFile>().Instance.OnChange.InvokeAsync(new InputFileChangeEventArgs([file])));
        return choosing;
    }

    private IRenderedComponent<SampleBox> Box(PlanSession session) =>
        Render<SampleBox>(parameters => parameters.AddCascadingValue(session).Add(box => box.Index, 0).Add(box => box.Called, "grid"));

    /// <summary>Lets the silence pass, and the reading end.</summary>
    private async Task StudiedAsync(IRenderedComponent<SampleBox> box)
    {
        Clock.Advance(PlanSession.Silence);
        await box.WaitForStateAsync(() => !box.Markup.Contains("Reading the times.", StringComparison.Ordinal), TimeSpan.FromSeconds(20));
    }

    /// <summary>A file whose text comes when the test says so.</summary>
    private sealed class HeldFile(string name, long size) : IBrowserFile
    {
        private readonly TaskCompletionSource<string> _text = new();

        public bool IsOpened { get; private set; }

        public string Name => name;

        public DateTimeOffset LastModified => default;

        public long Size => size;

        public string ContentType => "text/csv";

        public Stream OpenReadStream(long maxAllowedSize = 512_000, CancellationToken cancellationToken = default)
        {
            IsOpened = true;
            return new HeldStream(_text.Task);
        }

        public void End(string text) => _text.TrySetResult(text);

        public void Break() => _text.TrySetException(new IOException("The connection was lost."));
    }

    private sealed class HeldStream(Task<string> coming) : MemoryStream
    {
        private bool _isRead;

        public override async ValueTask<int> ReadAsync(Memory<byte> buffer, CancellationToken cancellationToken = default)
        {
            if (_isRead)
                return 0;
            string text = await coming.WaitAsync(cancellationToken);
            _isRead = true;
            return System.Text.Encoding.UTF8.GetBytes(text, buffer.Span);
        }
    }
}
