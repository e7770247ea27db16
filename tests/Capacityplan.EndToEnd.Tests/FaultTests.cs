using Capacityplan.EndToEnd.Tests.Browsing;
using Microsoft.Data.Sqlite;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Capacityplan.EndToEnd.Tests;

/// <summary>Where something is wrong, a page says so in plain words. That none shows a stack trace is asked of every page by
/// <see cref="PageWatch"/>.</summary>
public sealed class FaultTests(BrowserFixture fixture) : BrowserTest(fixture)
{
    /// <inheritdoc/>
    protected override bool HasOwnServer => true;

    /// <inheritdoc/>
    protected override bool TellsFaults => false;

    [Fact]
    public async Task Plan_ThatDoesNotExist_SaysSo()
    {
        IPage page = await OpenAsync("plans/00000000-0000-0000-0000-000000000001");

        await Expect(page.GetByRole(AriaRole.Heading, new() { Level = 1 })).ToHaveTextAsync("There is no such plan");
    }

    [Fact]
    public async Task Address_ThatLeadsNowhere_SaysSo()
    {
        IPage page = await OpenAsync();
        Foresee(page, "404");
        await page.GotoAsync("nowhere");

        await Expect(page.GetByRole(AriaRole.Heading, new() { Level = 1 })).ToHaveTextAsync("There is no page at this address");
    }

    [Fact]
    public async Task Store_ThatCannotBeWritten_IsSaidAndWhatIsTypedStays()
    {
        ForeseeServerError("no such table: Plans");
        ForeseeServerError("Failed executing DbCommand");
        PlanSheet sheet = await OpenDemoAsync();
        await RunAsync("ALTER TABLE Plans RENAME TO Elsewhere");

        await sheet.Blank(BlankLabels.DoneBy).FillAsync("05:10");

        await Expect(sheet.Saved).ToContainTextAsync("Not saved: the store does not answer.");
        await sheet.ExpectAnswerAsync(DemoJob.Answer(DemoJob.Draft with { DoneBy = "05:10" }).Verdict);

        await RunAsync("ALTER TABLE Elsewhere RENAME TO Plans");
        await sheet.Blank(BlankLabels.DoneBy).FillAsync("05:15");

        await Expect(sheet.Saved).ToContainTextAsync("Saved");
        await Expect(sheet.Blank(BlankLabels.DoneBy)).ToHaveValueAsync("05:15");
    }

    [Fact]
    public async Task Plan_WhoseStoreFails_IsAnsweredInPlainWords()
    {
        ForeseeServerError("no such table: Plans");
        ForeseeServerError("Failed executing DbCommand");
        await RunAsync("ALTER TABLE Plans RENAME TO Elsewhere");

        IPage page = await OpenAsync("plans/00000000-0000-0000-0000-000000000001");

        await Expect(page.GetByRole(AriaRole.Alert)).ToContainTextAsync("Something went wrong on our side");
    }

    private async Task RunAsync(string statement)
    {
        string file = Path.Combine(DataDirectory, "capacityplan.db");
        await using var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = file, Pooling = false }.ToString());
        await connection.OpenAsync(TestContext.Current.CancellationToken);
        await using SqliteCommand command = connection.CreateCommand();
        command.CommandText = statement;
        await command.ExecuteNonQueryAsync(TestContext.Current.CancellationToken);
    }
}
